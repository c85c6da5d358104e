import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Difference } from './difference.ts';
import type { DraftContent } from './plan-content-schema.ts';
import { differencesBetween } from './plan-differences.ts';

type Block = DraftContent['blocks'][number];
type Station = Block['stations'][number];
type Step = Station['steps'][number];
type Piece = Station['setUp']['pieces'][number];

const NAMES = {
  apparatus: (id: string) => id,
  skill: (id: string) => id,
  drill: (id: string) => id,
  level: (id: string) => id,
  kind: (id: string) => id,
};
const between = (old: DraftContent, now: DraftContent) => differencesBetween(old, now, NAMES);
const brief = ({ kind, what, field, pointer }: Difference) =>
  `${kind} ${what}${field === null ? '' : ` ${field}`} ${pointer}`;

const step = (drill: string, more: Partial<Step> = {}): Step => ({
  drillIds: [drill],
  chooseBy: null,
  fromLevelId: null,
  dose: { amount: 4, unit: 'turns', sets: 1, eachSide: false, note: null },
  weight: 'core',
  ...more,
});
const piece = (apparatusId: string, job: Piece['job'], more: Partial<Piece> = {}): Piece => ({
  apparatusId,
  amount: 1,
  job,
  forMixedSizes: false,
  orInstead: [],
  ...more,
});
const station = (name: string, more: Partial<Station> = {}): Station => ({
  name,
  apparatusId: 'Bars',
  items: 1,
  setUp: { words: `How ${name} is set up.`, pieces: [piece('Thick mat', 'landing')], staysUp: false, diagram: null },
  places: null,
  steps: [step(`Drill on ${name}`), step(`Other drill on ${name}`, { weight: 'extend', fromLevelId: 'Improvers' })],
  ...more,
});
const block = (title: string, more: Partial<Block> = {}): Block => ({
  title,
  activity: 'apparatus',
  minutes: 15,
  apparatusIds: ['Bars'],
  formation: 'stations',
  importance: 2,
  classRule: `The rule of ${title}.`,
  waterFirst: false,
  stationsRun: 'side-by-side',
  stations: [station(`${title} one`), station(`${title} two`)],
  ...more,
});
const WEEK: DraftContent = {
  focus: [{ apparatusId: 'Bars', skills: [{ skillId: 'Cast', standing: 'new' }], nextWeek: 'Higher.' }],
  blocks: [block('Warm-up'), block('Bars'), block('Beam')],
};

/** The week with its second block, or the first station of that, or the first step or piece there, changed. */
const withBlock = (more: Partial<Block>): DraftContent => ({
  ...WEEK,
  blocks: WEEK.blocks.map((one, at) => (at === 1 ? { ...one, ...more } : one)),
});
const withStation = (more: Partial<Station>) =>
  withBlock({ stations: [{ ...station('Bars one'), ...more }, station('Bars two')] });
const withStep = (more: Partial<Step>) =>
  withStation({ steps: station('Bars one').steps.map((one, at) => (at === 0 ? { ...one, ...more } : one)) });
const withPiece = (more: Partial<Piece>) =>
  withStation({ setUp: { ...station('Bars one').setUp, pieces: [piece('Thick mat', 'landing', more)] } });
const withFocus = (more: Partial<DraftContent['focus'][number]>): DraftContent => ({
  ...WEEK,
  focus: WEEK.focus.map((one) => ({ ...one, ...more })),
});

const AT_STATION = '/blocks/1/stations/0';
describe('one change is one difference, with where it is and a sentence for people', () => {
  test.each<[string, DraftContent, string]>([
    [
      'changed block minutes /blocks/1/minutes',
      withBlock({ minutes: 20 }),
      '“Bars”: the time is 20 min now; it was 15 min.',
    ],
    [
      'changed block title /blocks/1/title',
      withBlock({ title: 'Bars, low' }),
      '“Bars”: the title is “Bars, low” now; it was “Bars”.',
    ],
    [
      'changed block apparatusIds /blocks/1/apparatusIds',
      withBlock({ apparatusIds: ['Bars', 'Floor'] }),
      '“Bars”: the apparatus is Bars and Floor now; it was Bars.',
    ],
    [
      'changed block formation /blocks/1/formation',
      withBlock({ formation: 'circuit' }),
      '“Bars”: the formation is circuit now; it was stations.',
    ],
    [
      'changed block classRule /blocks/1/classRule',
      withBlock({ classRule: '' }),
      '“Bars”: the class rule is nothing now; it was “The rule of Bars.”.',
    ],
    [
      'changed block waterFirst /blocks/1/waterFirst',
      withBlock({ waterFirst: true }),
      '“Bars”: water before it is yes now; it was no.',
    ],
    [
      'moved block /blocks/1',
      { ...WEEK, blocks: [block('Bars'), block('Warm-up'), block('Beam')] },
      '“Warm-up” is in second place now; it was in first.',
    ],
    ['removed block /blocks/2', { ...WEEK, blocks: WEEK.blocks.slice(0, 2) }, '“Beam” is taken out.'],
    [
      'added block /blocks/3',
      { ...WEEK, blocks: [...WEEK.blocks, block('Vault')] },
      '“Vault” is new, in fourth place.',
    ],
    [
      `removed station ${AT_STATION}`,
      withBlock({ stations: [station('Bars two')] }),
      '“Bars”, station “Bars one” is taken out.',
    ],
    [
      `changed station name ${AT_STATION}/name`,
      withStation({ name: 'The low bar' }),
      '“Bars”, station “Bars one”: the name is “The low bar” now; it was “Bars one”.',
    ],
    [
      `changed station places ${AT_STATION}/places`,
      withStation({ places: 3 }),
      '“Bars”, station “Bars one”: how many at once is 3 now; it was as many as its drills allow.',
    ],
    [
      `changed piece amount ${AT_STATION}/setUp/pieces/0/amount`,
      withPiece({ amount: 2 }),
      '“Bars”, station “Bars one”, 1 × Thick mat for landing: how many is 2 now; it was 1.',
    ],
    [
      `changed piece orInstead ${AT_STATION}/setUp/pieces/0/orInstead`,
      withPiece({ orInstead: [{ apparatusId: 'Thin mat', amount: 3 }] }),
      '“Bars”, station “Bars one”, 1 × Thick mat for landing: what will do instead is 3 × Thin mat now; it was nothing.',
    ],
    [
      `changed step drillIds ${AT_STATION}/steps/0/drillIds`,
      withStep({ drillIds: ['Long hang', 'Tuck hang'], chooseBy: 'grip' }),
      '“Bars”, station “Bars one”, Drill on Bars one: the drill is one of Long hang or Tuck hang, chosen by “grip” now; it was Drill on Bars one.',
    ],
    [
      `changed step dose ${AT_STATION}/steps/0/dose`,
      withStep({ dose: { amount: 20, unit: 'seconds', sets: 2, eachSide: true, note: 'toes pointed' } }),
      '“Bars”, station “Bars one”, Drill on Bars one: the dose is 2 sets of 20 seconds each side (toes pointed) now; it was 4 turns.',
    ],
    [
      `changed step fromLevelId ${AT_STATION}/steps/0/fromLevelId`,
      withStep({ fromLevelId: 'Improvers' }),
      '“Bars”, station “Bars one”, Drill on Bars one: whom it is for is Improvers and up now; it was everyone.',
    ],
    [
      'changed focus skills /focus/0/skills',
      withFocus({ skills: [{ skillId: 'Cast', standing: 'continuing' }] }),
      'The focus on Bars: what is taught is Cast (continuing) now; it was Cast (new).',
    ],
    [
      'changed focus nextWeek /focus/0/nextWeek',
      withFocus({ nextWeek: null }),
      'The focus on Bars: what comes next week is nothing now; it was “Higher.”.',
    ],
  ])('%s', (expected, now, sentence) => {
    expect(between(WEEK, now).map(brief)).toEqual([expected]);
    expect(between(WEEK, now).map((one) => one.sentence)).toEqual([sentence]);
  });
});

test('another way to choose among the same drills is a change of that alone', () => {
  const choice = (chooseBy: string) => withStep({ drillIds: ['Long hang', 'Tuck hang'], chooseBy });
  const found = between(choice('grip'), choice('height'));
  expect(found.map(brief)).toEqual([`changed step chooseBy ${AT_STATION}/steps/0/chooseBy`]);
  expect(found[0]?.sentence).toMatch(/: what to choose by is “height” now; it was “grip”\.$/);
});

test('a station that goes to another block is taken out of one and new in the other', () => {
  const [first, second, third] = WEEK.blocks;
  const going = second?.stations[1];
  if (!first || !second || !third || !going) throw new Error('the week has three blocks of two stations');
  const now = {
    ...WEEK,
    blocks: [
      first,
      { ...second, stations: second.stations.slice(0, 1) },
      { ...third, stations: [...third.stations, going] },
    ],
  };
  expect(between(WEEK, now).map(brief)).toEqual([
    'removed station /blocks/1/stations/1',
    'added station /blocks/2/stations/2',
  ]);
});

/** A week whose blocks and stations have names of their own, as they have in a plan that somebody can read out. */
const aWeek = fc
  .array(fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 1, maxLength: 4 }), { minLength: 1, maxLength: 6 })
  .map(
    (blocks): DraftContent => ({
      focus: [],
      blocks: blocks.map((stations, b) =>
        block(`Block ${b}`, {
          stations: stations.map((steps, s) =>
            station(`Station ${b} ${s}`, {
              steps: Array.from({ length: steps }, (_, k) => step(`Drill ${b} ${s} ${k}`)),
            }),
          ),
        }),
      ),
    }),
  );

/** So far into a list of that length. */
const into = (share: number, length: number) => Math.min(Math.floor(share * length), length - 1);
const without = <T>(all: readonly T[], at: number) => all.filter((_, index) => index !== at);
const withAt = <T>(all: readonly T[], at: number, one: T) => [...all.slice(0, at), one, ...all.slice(at)];
const changedAt = <T>(all: readonly T[], at: number, change: (one: T) => T) =>
  all.map((one, index) => (index === at ? change(one) : one));

/** One edit at a place of the week, and what it has to be called. */
const EDITS: Record<string, (week: DraftContent, b: number, s: number) => [Block[], string]> = {
  'another time': ({ blocks }, b) => [
    changedAt(blocks, b, (one) => ({ ...one, minutes: one.minutes + 1 })),
    `changed block minutes /blocks/${b}/minutes`,
  ],
  'another title': ({ blocks }, b) => [
    changedAt(blocks, b, (one) => ({ ...one, title: 'Renamed' })),
    `changed block title /blocks/${b}/title`,
  ],
  'a block more': ({ blocks }, b) => [
    withAt(blocks, b, block('Fresh', { stations: [station('Fresh station')] })),
    `added block /blocks/${b}`,
  ],
  'a block less': ({ blocks }, b) => [without(blocks, b), `removed block /blocks/${b}`],
  'a block copied': ({ blocks }, b) => [
    changedAt([...blocks, ...blocks.slice(b, b + 1)], blocks.length, (one) => one),
    `added block /blocks/${blocks.length}`,
  ],
  'a station renamed': ({ blocks }, b, s) => [
    changedAt(blocks, b, (one) => ({
      ...one,
      stations: changedAt(one.stations, s, (its) => ({ ...its, name: 'Renamed' })),
    })),
    `changed station name /blocks/${b}/stations/${s}/name`,
  ],
  'a station less': ({ blocks }, b, s) => [
    changedAt(blocks, b, (one) => ({ ...one, stations: without(one.stations, s) })),
    `removed station /blocks/${b}/stations/${s}`,
  ],
  'a step more': ({ blocks }, b, s) => [
    changedAt(blocks, b, (one) => ({
      ...one,
      stations: changedAt(one.stations, s, (its) => ({ ...its, steps: [step('Fresh'), ...its.steps] })),
    })),
    `added step /blocks/${b}/stations/${s}/steps/0`,
  ],
};

const share = fc.double({ min: 0, max: 1, noNaN: true });
describe('whatever the week', () => {
  test('a plan does not differ from itself', () => {
    fc.assert(
      fc.property(aWeek, (week) => {
        expect(between(week, structuredClone(week))).toEqual([]);
      }),
    );
  });

  test.each(Object.entries(EDITS))('%s is that difference and no other', (_, edit) => {
    fc.assert(
      fc.property(aWeek, share, share, (week, first, second) => {
        const b = into(first, week.blocks.length);
        const s = into(second, week.blocks[b]?.stations.length ?? 1);
        const [blocks, expected] = edit(week, b, s);
        expect(between(week, { ...week, blocks }).map(brief)).toEqual([expected]);
      }),
    );
  });

  test('a block that goes elsewhere is one that moved, and no other', () => {
    fc.assert(
      fc.property(aWeek, share, share, (week, first, second) => {
        const [from, to] = [into(first, week.blocks.length), into(second, week.blocks.length)];
        const going = week.blocks[from];
        fc.pre(from !== to && going !== undefined);
        if (!going) return;
        const found = between(week, { ...week, blocks: withAt(without(week.blocks, from), to, going) });
        expect(found.map(({ kind, what }) => `${kind} ${what}`)).toEqual(['moved block']);
      }),
    );
  });
});
