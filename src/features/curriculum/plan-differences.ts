import { isDeepStrictEqual } from 'node:util';
import type { At, Difference, Part } from './difference.ts';
import { pairUp } from './pair-up.ts';
import { type Compared, partsWith } from './plan-parts.ts';
import { type Names, placeInWords } from './plan-words.ts';

/**
 * What is not in `now` as it was in `old`: blocks, stations, steps, pieces and focuses that came, went, moved or
 * changed, in the order of the newer plan. Blocks and stations are the same when they have the same title or name, or,
 * renamed, when they share a drill or their words. A station that goes to another block is removed there and added here.
 */
export function differencesBetween(old: Compared, now: Compared, names: Names): Difference[] {
  const parts = partsWith(names);
  const at = (list: string) => ({ old: list, now: list, within: '' });
  const fixed = [old, now].every(({ blocks }) => blocks.every((block) => block.stations.every((one) => one.spotting)));
  return [
    ...compare(parts.focus, old.focus, now.focus, at('/focus')),
    ...compare(parts.block, comparable(old.blocks, fixed), comparable(now.blocks, fixed), at('/blocks')),
  ];
}

/** Without what is no part of the teaching, so that equal is equal; with who spots, where that is fixed in both. */
const comparable = (blocks: Compared['blocks'], fixed: boolean): Compared['blocks'] =>
  blocks.map(
    ({
      title,
      activity,
      minutes,
      apparatusIds,
      formation,
      importance,
      classRule,
      waterFirst,
      stationsRun,
      stations,
    }) => ({
      title,
      activity,
      minutes,
      apparatusIds,
      formation,
      importance,
      classRule,
      waterFirst,
      stationsRun,
      stations: stations.map(({ name, apparatusId, items, setUp, places, steps, spotting = null }) => ({
        name,
        apparatusId,
        items,
        setUp,
        places,
        steps,
        spotting: fixed ? spotting : null,
      })),
    }),
  );

function compare<T>(part: Part<T>, old: readonly T[], now: readonly T[], at: At): Difference[] {
  const { pairs, removed, added } = pairUp(old, now, { same: isDeepStrictEqual, ...part });
  const whole = (kind: Difference['kind'], pointer: string, sentence: string): Difference => ({
    kind,
    what: part.what,
    field: null,
    pointer,
    sentence: `${at.within}${sentence}`,
  });
  const found: { at: number; differences: Difference[] }[] = [];
  for (const gone of removed) {
    const one = old[gone];
    if (one === undefined) continue;
    const sentence = `${part.called(one)} is taken out.`;
    found.push({ at: gone, differences: [whole('removed', `${at.old}/${gone}`, sentence)] });
  }
  for (const come of added) {
    const one = now[come];
    if (one === undefined) continue;
    const sentence = `${part.called(one)} is new, in ${placeInWords(come)} place.`;
    found.push({ at: come, differences: [whole('added', `${at.now}/${come}`, sentence)] });
  }
  for (const { from, to, moved } of pairs) {
    const [before, after] = [old[from], now[to]];
    if (before === undefined || after === undefined) continue;
    const here = { old: `${at.old}/${from}`, now: `${at.now}/${to}`, within: at.within };
    const places = `in ${placeInWords(to)} place now; it was in ${placeInWords(from)}`;
    found.push({
      at: to,
      differences: [
        ...(moved ? [whole('moved', here.now, `${part.called(after)} is ${places}.`)] : []),
        ...changes(part, before, after, here),
      ],
    });
  }
  return found.sort((a, b) => a.at - b.at).flatMap(({ differences }) => differences);
}

function changes<T>(part: Part<T>, before: T, after: T, at: At): Difference[] {
  const called = part.called(before);
  const own = part.fields
    .filter(({ of, counts }) => !isDeepStrictEqual(of(before), of(after)) && (counts?.(before, after) ?? true))
    .map(({ field, label, says, remark }): Difference => {
      const changed = `${at.within}${called}: ${label} is ${says(after)} now; it was ${says(before)}.`;
      const besides = remark?.(before, after) ?? null;
      return {
        kind: 'changed',
        what: part.what,
        field,
        pointer: `${at.now}/${field}`,
        sentence: besides === null ? changed : `${changed} ${besides}`,
      };
    });
  const further = part.inside.flatMap((inside) =>
    inside(compare, before, after, { ...at, within: `${at.within}${part.called(after)}, ` }),
  );
  return [...own, ...further];
}
