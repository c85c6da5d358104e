import { isDeepStrictEqual } from 'node:util';
import type { Field, Inside, Part } from './difference.ts';
import type { DraftContent, PlanStation, PlanStep } from './plan-content-schema.ts';
import type { Names } from './plan-words.ts';
import * as words from './plan-words.ts';
import { asksLess, needOnFloor } from './spotting.ts';

type Focus = DraftContent['focus'][number];
type Block = DraftContent['blocks'][number];
/** A station as it is compared: with what it asks of its spotter, where both versions have been published. */
type DraftStation = Block['stations'][number] & { spotting?: PlanStation['spotting'] };
type DraftBlock = Omit<Block, 'stations'> & { stations: DraftStation[] };
/** A version's content as it is compared. */
export type Compared = { focus: Focus[]; blocks: DraftBlock[] };
type Piece = DraftStation['setUp']['pieces'][number];

const drillsAt = ({ steps }: DraftStation) => steps.flatMap(({ drillIds }) => drillIds);
const shares = (a: readonly string[], b: readonly string[]) => a.some((one) => b.includes(one));
const sameWords = (a: string, b: string) => a.trim() !== '' && a === b;
const yes = (is: boolean) => (is ? 'yes' : 'no');

/** How a plan's focuses and blocks are compared, and what is in them. */
export function partsWith(names: Names) {
  const focus: Part<Focus> = {
    what: 'focus',
    called: ({ apparatusId }) => `The focus on ${names.apparatus(apparatusId)}`,
    nameOf: ({ apparatusId }) => apparatusId,
    alike: () => false,
    inside: [],
    fields: [
      field(
        'skills',
        'what is taught',
        ({ skills }) => skills,
        (one) => words.focusInWords(one, names),
      ),
      field(
        'nextWeek',
        'what comes next week',
        ({ nextWeek }) => nextWeek,
        ({ nextWeek }) => words.quoted(nextWeek),
      ),
    ],
  };
  const step: Part<PlanStep> = {
    what: 'step',
    called: (one) => words.drillsInWords(one, names),
    nameOf: ({ drillIds }) => drillIds.join(),
    alike: (a, b) =>
      shares(a.drillIds, b.drillIds) ||
      isDeepStrictEqual([a.dose, a.weight, a.fromLevelId], [b.dose, b.weight, b.fromLevelId]),
    inside: [],
    fields: [
      field(
        'drillIds',
        'the drill',
        ({ drillIds }) => drillIds,
        (one) => words.drillsInWords(one, names),
      ),
      {
        ...field<PlanStep>(
          'chooseBy',
          'what to choose by',
          ({ chooseBy }) => chooseBy,
          ({ chooseBy }) => words.quoted(chooseBy),
        ),
        // Whoever makes a choice of one drill, or one drill of a choice, changes the drills: that says it already.
        counts: (a, b) => a.drillIds.length > 1 && b.drillIds.length > 1,
      },
      field(
        'fromLevelId',
        'whom it is for',
        ({ fromLevelId }) => fromLevelId,
        ({ fromLevelId }) => (fromLevelId === null ? 'everyone' : `${names.level(fromLevelId)} and up`),
      ),
      field(
        'dose',
        'the dose',
        ({ dose }) => dose,
        ({ dose }) => words.doseInWords(dose),
      ),
      field(
        'weight',
        'its weight',
        ({ weight }) => weight,
        ({ weight }) => weight,
      ),
    ],
  };
  const piece: Part<Piece> = {
    what: 'piece',
    called: (one) => words.pieceInWords(one, names),
    nameOf: ({ apparatusId, job }) => `${apparatusId} ${job}`,
    alike: (a, b) => a.apparatusId === b.apparatusId || a.job === b.job,
    inside: [],
    fields: [
      field(
        'apparatusId',
        'the piece',
        (one) => one.apparatusId,
        (one) => names.apparatus(one.apparatusId),
      ),
      field(
        'amount',
        'how many',
        ({ amount }) => amount,
        ({ amount }) => String(amount),
      ),
      field('job', 'its job', ({ job }) => job, words.jobInWords),
      field(
        'forMixedSizes',
        'for mixed sizes',
        (one) => one.forMixedSizes,
        (one) => yes(one.forMixedSizes),
      ),
      field(
        'orInstead',
        'what will do instead',
        (one) => one.orInstead,
        (one) => words.insteadInWords(one, names),
      ),
    ],
  };
  const station: Part<DraftStation> = {
    what: 'station',
    called: ({ name }) => `station ${words.quoted(name)}`,
    nameOf: ({ name }) => name,
    alike: (a, b) =>
      a.apparatusId === b.apparatusId && (shares(drillsAt(a), drillsAt(b)) || sameWords(a.setUp.words, b.setUp.words)),
    fields: [
      field(
        'name',
        'the name',
        ({ name }) => name,
        ({ name }) => words.quoted(name),
      ),
      field(
        'apparatusId',
        'the apparatus',
        (one) => one.apparatusId,
        (one) => names.apparatus(one.apparatusId),
      ),
      field(
        'items',
        'how many of it',
        ({ items }) => items,
        ({ items }) => String(items),
      ),
      field(
        'setUp/words',
        'the set-up',
        ({ setUp }) => setUp.words,
        ({ setUp }) => words.quoted(setUp.words),
      ),
      field(
        'setUp/staysUp',
        'may stay up',
        ({ setUp }) => setUp.staysUp,
        ({ setUp }) => yes(setUp.staysUp),
      ),
      field(
        'setUp/diagram',
        'the diagram',
        ({ setUp }) => setUp.diagram,
        ({ setUp }) => words.diagramInWords(setUp.diagram),
      ),
      field(
        'places',
        'how many at once',
        ({ places }) => places,
        ({ places }) => (places === null ? 'as many as its drills allow' : String(places)),
      ),
      {
        ...field<DraftStation>(
          'spotting',
          'who spots it',
          ({ spotting }) => spotting ?? null,
          ({ spotting }) => words.spottingInWords(spotting ?? null, names),
        ),
        remark: (old, now) =>
          old.spotting && now.spotting && asksLess(needOnFloor(old.spotting), needOnFloor(now.spotting))
            ? 'That is less than it was, or another qualification.'
            : null,
      },
    ],
    inside: [list('/setUp/pieces', piece, ({ setUp }) => setUp.pieces), list('/steps', step, ({ steps }) => steps)],
  };
  const drillsIn = ({ stations }: DraftBlock) => stations.flatMap(drillsAt);
  const block: Part<DraftBlock> = {
    what: 'block',
    called: ({ title }) => words.quoted(title),
    nameOf: ({ title }) => title,
    alike: (a, b) => shares(drillsIn(a), drillsIn(b)) || sameWords(a.classRule, b.classRule),
    fields: [
      field(
        'title',
        'the title',
        ({ title }) => title,
        ({ title }) => words.quoted(title),
      ),
      field(
        'activity',
        'the activity',
        ({ activity }) => activity,
        ({ activity }) => activity,
      ),
      field(
        'minutes',
        'the time',
        ({ minutes }) => minutes,
        ({ minutes }) => `${minutes} min`,
      ),
      field(
        'apparatusIds',
        'the apparatus',
        (one) => one.apparatusIds,
        (one) => words.apparatusInWords(one, names),
      ),
      field(
        'formation',
        'the formation',
        ({ formation }) => formation,
        ({ formation }) => formation,
      ),
      field(
        'importance',
        'the importance',
        ({ importance }) => importance,
        ({ importance }) => String(importance),
      ),
      field(
        'classRule',
        'the class rule',
        (one) => one.classRule,
        (one) => words.quoted(one.classRule),
      ),
      field(
        'waterFirst',
        'water before it',
        (one) => one.waterFirst,
        (one) => yes(one.waterFirst),
      ),
      field(
        'stationsRun',
        'its stations run',
        (one) => one.stationsRun,
        (one) => one.stationsRun,
      ),
    ],
    inside: [list('/stations', station, ({ stations }) => stations)],
  };
  return { focus, block };
}

function field<T>(name: string, label: string, of: (one: T) => unknown, says: (one: T) => string): Field<T> {
  return { field: name, label, of, says };
}

/** The list that each has, at that pointer below it. */
const list =
  <T, E>(pointer: string, part: Part<E>, of: (one: T) => readonly E[]): Inside<T> =>
  (compare, old, now, at) =>
    compare(part, of(old), of(now), { old: `${at.old}${pointer}`, now: `${at.now}${pointer}`, within: at.within });
