import { fraction } from '../fraction.ts';
import { hasGoverningBand } from '../mixed-ages/index.ts';
import { governingAmong, isPooled } from '../ratio.ts';
import type { Head, Spot, View } from '../scene.ts';
import type { Band, Block, Cap, Station, Subject } from '../types.ts';
import { type Lack, lackOf, type RuleCheck, subjectsOf } from './check.ts';

/** Numbers of athletes that no staff can lift: in a group, on apparatus, on equipment, in an area. */
export const caps: RuleCheck = {
  code: 'cap',
  check(view) {
    const atBlocks = view.spots.filter(({ block }) => block !== null);
    const groups = atBlocks.map((spot) => ({ spot, block: spot.block as Block, heads: headsAt(view, spot) }));
    return [
      ...groups.flatMap(({ block, heads }) => largestGroups(view, block, heads)),
      ...view.rule.caps.flatMap((cap) => {
        if (cap.of === 'area') return areasOver(view, cap);
        return groups.flatMap(({ block, heads }) => groupOver(view, cap, block, countedBy(cap, view, heads).length));
      }),
    ];
  },
};

const headsAt = (view: View, spot: Spot): Head[] => view.heads.filter((head) => head.spot === spot);

function countedBy({ bands }: Cap, { rule }: View, heads: Head[]): Head[] {
  if (bands === null) return heads;
  return heads.filter(({ band }) => bands.includes(rule.bands[band]?.id ?? ''));
}

/**
 * The largest group of a band: where one band governs, of that one for the whole group; else of every band that is there.
 * Bands apart, and those that the rule asks nothing for, are held to their own number.
 */
function largestGroups(view: View, block: Block, heads: Head[]): Lack[] {
  const { bands, mixed } = view.rule;
  if (heads.length === 0 || bands.every(({ largestGroup }) => largestGroup === null)) return [];
  const together = heads.filter(({ band }) => band === -1 || isPooled(bands[band] as Band));
  const governing = governingAmong(
    view,
    heads.filter(({ helped }) => !helped),
  );
  return bands.flatMap((band, i) => {
    const own = heads.filter((head) => head.band === i).length;
    if (!isPooled(band)) return over(own, band.largestGroup, subjectsOf('block', [block.id]));
    const isAsked = hasGoverningBand(mixed) ? i === governing : own > 0;
    return isAsked ? over(together.length, band.largestGroup, subjectsOf('block', [block.id])) : [];
  });
}

function groupOver(view: View, cap: Cap, block: Block, heads: number): Lack[] {
  if (cap.of === 'group') return over(heads, cap.max, subjectsOf('block', [block.id]));
  const open = block.stations.filter((station) => isOpen(station, view));
  const places = cap.of === 'apparatus' ? open.length : open.reduce((items, station) => items + station.items, 0);
  // nobody is on apparatus while none is open
  return places === 0
    ? []
    : over(
        heads,
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
  for (const { spot } of countedBy(cap, view, view.heads)) {
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
