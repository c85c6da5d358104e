import { fraction } from '../fraction.ts';
import type { Head, View } from '../scene.ts';
import type { Block, Cap, Station, Subject } from '../types.ts';
import { type Lack, lackOf, type RuleCheck, subjectsOf } from './check.ts';

/** Numbers of athletes that no staff can lift: in a group, on apparatus, on equipment, in an area. */
export const caps: RuleCheck = {
  code: 'cap',
  check(view) {
    const { rule, spots } = view;
    if (rule.caps.length === 0 && rule.bands.every(({ largestGroup }) => largestGroup === null)) return [];
    const blocks = spots.flatMap(({ block }) => block ?? []);
    return [
      ...blocks.flatMap((block) => largestGroups(view, block)),
      ...rule.caps.flatMap((cap) => {
        if (cap.of === 'group') return groupsOver(view, cap, blocks);
        return cap.of === 'area' ? areasOver(view, cap) : blocks.flatMap((block) => stationsOver(view, cap, block));
      }),
    ];
  },
};

/** A band's largest group holds for the whole group as soon as one of the band is in it. */
function largestGroups({ rule, heads }: View, block: Block): Lack[] {
  const group = heads.filter(({ spot }) => spot.block === block);
  const present = rule.bands.filter((_, i) => group.some(({ band }) => band === i));
  return present.flatMap(({ largestGroup }) => over(group.length, largestGroup, subjectsOf('block', [block.id])));
}

function groupsOver(view: View, cap: Cap, blocks: Block[]): Lack[] {
  return [...new Set(blocks.map(({ group }) => group))].flatMap((group) => {
    const together = blocks.filter((block) => block.group === group);
    const heads = countedBy(cap, view).filter(({ spot }) => spot.block?.group === group);
    return over(
      heads.length,
      cap.max,
      subjectsOf(
        'block',
        together.map(({ id }) => id),
      ),
    );
  });
}

/** So many for each station open on the apparatus that the rule is about, or for each item there. */
function stationsOver(view: View, cap: Cap, block: Block): Lack[] {
  const named = view.rule.scope.apparatus;
  const open = block.stations.filter(
    (station) => isOpen(station, view) && (named === undefined || named.includes(station.apparatus)),
  );
  if (open.length === 0) return []; // nobody can crowd what is not up
  const places = cap.of === 'apparatus' ? open.length : open.reduce((items, station) => items + station.items, 0);
  const heads = countedBy(cap, view).filter(({ spot }) => spot.block === block);
  return over(
    heads.length,
    cap.max * places,
    subjectsOf(
      'station',
      open.map(({ id }) => id),
    ),
  );
}

/** An area's cap counts everybody in a block that uses it: how they spread over its areas is not known. */
function areasOver(view: View, cap: Cap): Lack[] {
  const found = new Map<string, number>();
  for (const { spot } of countedBy(cap, view)) {
    for (const area of spot.block?.areas ?? []) found.set(area, (found.get(area) ?? 0) + 1);
  }
  const named = view.rule.scope.area;
  const areas = [...found]
    .filter(([area]) => named === undefined || named.includes(area))
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return areas.flatMap(([area, heads]) => over(heads, cap.max, subjectsOf('area', [area])));
}

function over(heads: number, most: number | null, subjects: Subject[]): Lack[] {
  if (most === null || heads <= most) return [];
  return [lackOf(heads - most, { numbers: { heads: fraction(heads), most: fraction(most) }, subjects })];
}

const isOpen = ({ span }: Station, { moment }: View): boolean =>
  span.from <= moment.span.from && moment.span.to <= span.to;

function countedBy({ bands }: Cap, { rule, heads }: View): Head[] {
  return bands === null ? heads : heads.filter(({ band }) => bands.includes(rule.bands[band]?.id ?? ''));
}
