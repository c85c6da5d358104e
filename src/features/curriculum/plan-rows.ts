import { faultsOf } from '../../platform/http/answer.ts';
import type { Fault } from '../../platform/problem.ts';
import { DraftContent } from './plan-content-schema.ts';
import type { PlanRow } from './plan-file-schema.ts';
import { namingFaults, namingsIn } from './plan-namings.ts';
import type { NewLessonPlan, WholePlanVersion } from './plan-schema.ts';
import { unknownName, type Vocabulary } from './vocabulary.ts';

/** Everything that a plan in a file may name, by its name and by its id. */
export type PlanVocabulary = Vocabulary & {
  drills: { id: string; name: string; apparatusId: string }[];
  /** What has been looked for so far: every list of names by what it holds. */
  indexes: Map<string, Index>;
};

interface Resolved {
  plan: NewLessonPlan;
  content: DraftContent;
}
type RowFault = { pointer: string; detail: string };

/** A row with its names made ids, or everything in it that names nothing or does not go together. */
export function resolvedPlan(row: PlanRow, words: PlanVocabulary): Resolved | { faults: RowFault[] } {
  const faults: RowFault[] = [];
  const find = finder(words, faults);
  const programmeIds = row.programmes.map((name, at) => find.programme(name, `/programmes/${at}`));
  for (const [at, id] of programmeIds.entries()) {
    if (id !== '' && programmeIds.indexOf(id) < at)
      faults.push({ pointer: `/programmes/${at}`, detail: 'Name each programme once.' });
  }
  const sent = {
    focus: row.focus.map(({ apparatus, nextWeek, skills }, i) => {
      const apparatusId = find.apparatus(apparatus, `/focus/${i}/apparatus`);
      return {
        apparatusId,
        nextWeek,
        skills: skills.map(({ standing, ...said }, k) => ({
          skillId: find.skill(said, apparatusId, `/focus/${i}/skills/${k}`),
          standing,
        })),
      };
    }),
    blocks: row.blocks.map(({ apparatus, stations, ...block }, b) => ({
      ...block,
      apparatusIds: apparatus.map((name, k) => find.apparatus(name, `/blocks/${b}/apparatus/${k}`)),
      stations: stations.map((station, s) => stationOf(station, find, `/blocks/${b}/stations/${s}`)),
    })),
  };
  if (faults.length > 0) return { faults };
  const read = DraftContent.safeParse(sent);
  if (!read.success) return { faults: inRow(faultsOf(read.error, 'body')) };
  const nothing = new Set<string>();
  const none = { apparatus: nothing, skill: nothing, drill: nothing, level: nothing };
  const twice = inRow(namingFaults(namingsIn(read.data), none));
  if (twice.length > 0) return { faults: twice };
  return { plan: { title: row.title, weekOf: row.weekOf, programmeIds }, content: read.data };
}

type Find = ReturnType<typeof finder>;

interface Thing {
  id: string;
  name: string;
}
interface Index {
  things: readonly Thing[];
  byName: ReadonlyMap<string, string>;
  /** The first of each name, upper and lower case being the same. */
  byFolded: ReadonlyMap<string, string>;
}

const indexOf = (things: readonly Thing[]): Index => ({
  things,
  byName: new Map(things.map(({ id, name }) => [name, id])),
  byFolded: new Map(things.toReversed().map(({ id, name }) => [name.toLowerCase(), id])),
});

/** Finds ids by their names; where there is none, keeps that as a fault and gives an empty text. */
function finder(words: PlanVocabulary, faults: RowFault[]) {
  const { indexes } = words;
  /** A file may name thousands: each list is gone through once. */
  const index = (key: string, things: () => readonly Thing[]): Index => {
    const known = indexes.get(key) ?? indexOf(things());
    indexes.set(key, known);
    return known;
  };
  const idOf = (what: string, { things, byName, byFolded }: Index, name: string, pointer: string) => {
    const id = byName.get(name) ?? byFolded.get(name.toLowerCase());
    if (id === undefined) faults.push({ pointer, detail: unknownName(words, what, name, things) });
    return id ?? '';
  };
  const apparatus = (name: string, pointer: string) =>
    idOf(
      'apparatus',
      index('apparatus', () => words.apparatus),
      name,
      pointer,
    );
  const programme = (name: string, pointer: string) =>
    idOf(
      'programme',
      index('programme', () => words.programmes),
      name,
      pointer,
    );
  /** Of a thing that stands on some apparatus: the one it names, or the one it is named beside. */
  const on =
    (part: 'skill' | 'drill', things: readonly (Thing & { apparatusId: string })[]) =>
    (name: string, named: string | null, beside: string, pointer: string) => {
      const id = named === null ? beside : apparatus(named, `${pointer}/apparatus`);
      if (id === '') return '';
      const known = words.apparatus.find((one) => one.id === id)?.name ?? '';
      const those = index(`${part} ${id}`, () => things.filter(({ apparatusId }) => apparatusId === id));
      return idOf(`${part} on ${known}`, those, name, `${pointer}/${part}`);
    };
  const skillOn = on('skill', words.skills);
  const drillOn = on('drill', words.drills);
  return {
    apparatus,
    programme,
    skill: (one: { skill: string; apparatus: string | null }, beside: string, pointer: string) =>
      skillOn(one.skill, one.apparatus, beside, pointer),
    drill: (one: { drill: string; apparatus: string | null }, beside: string, pointer: string) =>
      drillOn(one.drill, one.apparatus, beside, pointer),
    level: (from: { programme: string; level: string }, pointer: string) => {
      const programmeId = programme(from.programme, `${pointer}/programme`);
      if (programmeId === '') return '';
      const those = index(`level ${programmeId}`, () => words.levels.filter((one) => one.programmeId === programmeId));
      return idOf(`level of ${from.programme}`, those, from.level, `${pointer}/level`);
    },
  };
}

function stationOf(
  { apparatus, setUp, steps, ...station }: PlanRow['blocks'][number]['stations'][number],
  find: Find,
  at: string,
) {
  const apparatusId = find.apparatus(apparatus, `${at}/apparatus`);
  return {
    ...station,
    apparatusId,
    setUp: {
      ...setUp,
      pieces: setUp.pieces.map((piece, p) => {
        const here = `${at}/setUp/pieces/${p}`;
        return {
          apparatusId: find.apparatus(piece.apparatus, `${here}/apparatus`),
          amount: piece.amount,
          job: piece.job,
          forMixedSizes: piece.forMixedSizes,
          orInstead: piece.orInstead.map((one, o) => ({
            apparatusId: find.apparatus(one.apparatus, `${here}/orInstead/${o}/apparatus`),
            amount: one.amount,
          })),
        };
      }),
    },
    steps: steps.map(({ drills, from, ...step }, k) => ({
      ...step,
      drillIds: drills.map((one, d) => find.drill(one, apparatusId, `${at}/steps/${k}/drills/${d}`)),
      fromLevelId: from === null ? null : find.level(from, `${at}/steps/${k}/from`),
    })),
  };
}

/** Where in the row it stands that is wrong in the content made of it. */
const inRow = (faults: readonly Fault[]): RowFault[] =>
  faults.map(({ pointer = '', detail }) => ({
    pointer: pointer
      .replace('/apparatusIds', '/apparatus')
      .replace('/apparatusId', '/apparatus')
      .replace('/skillId', '/skill')
      .replace(/\/drillIds\/(\d+)/, '/drills/$1/drill')
      .replace('/drillIds', '/drills')
      .replace('/fromLevelId', '/from/level'),
    detail,
  }));

/** A plan's version with everything by its name; programmes, which have no order of their own, by name. */
export function planRowOf(
  { title, weekOf, programmeIds }: NewLessonPlan,
  { focus, blocks }: Pick<WholePlanVersion, 'focus' | 'blocks'>,
  words: PlanVocabulary,
): PlanRow {
  const names = new Map([...words.apparatus, ...words.programmes, ...words.levels].map((one) => [one.id, one.name]));
  const nameOf = (id: string) => names.get(id) ?? '';
  const skills = new Map(words.skills.map((one) => [one.id, one]));
  const drills = new Map(words.drills.map((one) => [one.id, one]));
  const levels = new Map(words.levels.map((one) => [one.id, one]));
  /** Null where it goes without saying. */
  const onOther = (one: { apparatusId: string } | undefined, beside: string) =>
    one && one.apparatusId !== beside ? nameOf(one.apparatusId) : null;
  return {
    title,
    weekOf,
    programmes: programmeIds.map(nameOf).sort(),
    focus: focus.map((one) => ({
      apparatus: nameOf(one.apparatusId),
      nextWeek: one.nextWeek,
      skills: one.skills.map(({ skillId, standing }) => {
        const skill = skills.get(skillId);
        return { skill: skill?.name ?? '', apparatus: onOther(skill, one.apparatusId), standing };
      }),
    })),
    blocks: blocks.map(({ title, activity, minutes, apparatusIds, formation, importance, classRule, ...block }) => ({
      title,
      activity,
      minutes,
      apparatus: apparatusIds.map(nameOf),
      formation,
      importance,
      classRule,
      waterFirst: block.waterFirst,
      stationsRun: block.stationsRun,
      stations: block.stations.map(({ name, apparatusId, items, setUp, places, steps }) => ({
        name,
        apparatus: nameOf(apparatusId),
        items,
        setUp: {
          words: setUp.words,
          pieces: setUp.pieces.map(({ apparatusId, amount, job, forMixedSizes, orInstead }) => ({
            apparatus: nameOf(apparatusId),
            amount,
            job,
            forMixedSizes,
            orInstead: orInstead.map((one) => ({ apparatus: nameOf(one.apparatusId), amount: one.amount })),
          })),
          staysUp: setUp.staysUp,
          diagram: setUp.diagram,
        },
        places,
        steps: steps.map(({ drillIds, chooseBy, fromLevelId, dose, weight }) => {
          const level = fromLevelId === null ? undefined : levels.get(fromLevelId);
          return {
            drills: drillIds.map((id) => {
              const drill = drills.get(id);
              return { drill: drill?.name ?? '', apparatus: onOther(drill, apparatusId) };
            }),
            chooseBy,
            from: level ? { programme: nameOf(level.programmeId), level: level.name } : null,
            dose,
            weight,
          };
        }),
      })),
    })),
  };
}
