/** The judge's findings under one rule at one moment. */
import type { Block, Code, Fraction, Id, Subject } from '../../src/cover/types.ts';
import { everyPairing, less, minus, paired, plus, type View, whole, within } from './judge-facts.ts';
import { bandOf, largestLimit, loadUnder } from './judge-load.ts';
import { countedOf, passes, unplaced } from './judge-people.ts';

export type JudgedFinding = { code: Code; rule: Id | null; short: Fraction; subjects: Subject[] };
export type JudgedCount = { rule: Id; load: Fraction; counted: Fraction; needed: number; met: boolean };

export const what = (kind: Subject['what'], ids: Id[]): Subject[] => [...ids].sort().map((id) => ({ what: kind, id }));

export function count(view: View): JudgedCount {
  const { load, needed, band } = loadUnder(view);
  const asked = load.n > 0n ? plus(load, whole(view.rule.plus)) : load;
  const counted = countedOf(view, needed, largestLimit(view, band));
  return { rule: view.rule.id, load, counted, needed, met: !less(counted, asked) };
}

const shortBy = (view: View, { load, counted }: JudgedCount): Fraction =>
  minus(plus(load, whole(view.rule.plus)), counted);

function floorFindings(view: View): JudgedFinding[] {
  const heads = view.heads.length;
  return view.rule.floors.flatMap((floor): JudgedFinding[] => {
    if (heads < floor.fromAthletes || (floor.toAthletes !== null && heads > floor.toAthletes)) return [];
    const wanted = floor.posts.flatMap(({ people, who }) => Array.from({ length: people }, () => who));
    const adults = view.posts.filter((post) => !post.helps);
    const most = Math.max(...everyPairing(wanted, adults, (who, post) => passes(view, post, who)).map(paired));
    return most === wanted.length
      ? []
      : [{ code: 'floor', rule: view.rule.id, short: whole(wanted.length - most), subjects: [] }];
  });
}

function capFindings(view: View): JudgedFinding[] {
  const { rule, blocks, moment } = view;
  const headsIn = (there: Block[], bands: Id[] | null): number =>
    view.heads.filter(
      (head) =>
        head.block !== null &&
        there.includes(head.block) &&
        (bands === null || bands.includes(bandOf(view, head)?.id ?? '')),
    ).length;
  const found = (heads: number, most: number, subjects: Subject[]): JudgedFinding[] =>
    heads > most ? [{ code: 'cap', rule: rule.id, short: whole(heads - most), subjects }] : [];

  const caps = rule.caps.flatMap(({ max, of, bands }) => {
    if (of === 'group') {
      return [...new Set(blocks.map((block) => block.group))].flatMap((group) => {
        const there = blocks.filter((block) => block.group === group);
        return found(
          headsIn(there, bands),
          max,
          what(
            'block',
            there.map((block) => block.id),
          ),
        );
      });
    }
    if (of === 'area') {
      return [...new Set(blocks.flatMap((block) => block.areas))].flatMap((area) => {
        if (!(rule.scope.area?.includes(area) ?? true)) return [];
        const there = blocks.filter((block) => block.areas.includes(area));
        return found(headsIn(there, bands), max, what('area', [area]));
      });
    }
    return blocks.flatMap((block) => {
      const open = block.stations.filter(
        (station) => within(moment, station.span) && (rule.scope.apparatus?.includes(station.apparatus) ?? true),
      );
      if (open.length === 0) return []; // nothing is up that could be crowded
      const units = of === 'apparatus' ? open.length : open.reduce((sum, station) => sum + station.items, 0);
      return found(
        headsIn([block], bands),
        max * units,
        what(
          'station',
          open.map((station) => station.id),
        ),
      );
    });
  });
  const groups = blocks.flatMap((block) =>
    rule.bands.flatMap((band) =>
      band.largestGroup !== null && headsIn([block], [band.id]) > 0
        ? found(headsIn([block], null), band.largestGroup, what('block', [block.id]))
        : [],
    ),
  );
  return [...caps, ...groups];
}

function bandFindings(view: View): JudgedFinding[] {
  const none = view.rule.bands.length === 0 ? [] : view.heads.filter((head) => bandOf(view, head) === null);
  const subjects = what(
    'athlete',
    none.map((head) => head.id),
  );
  return none.length === 0 ? [] : [{ code: 'no-band', rule: view.rule.id, short: whole(none.length), subjects }];
}

function supervisionFindings(view: View): JudgedFinding[] {
  const alone = unplaced(view);
  if (alone.length === 0) return [];
  return [{ code: 'supervision', rule: view.rule.id, short: whole(alone.length), subjects: what('staff', alone) }];
}

export function ruleFindings(view: View, counted: JudgedCount): JudgedFinding[] {
  if (!view.heads.some((head) => head.athlete !== null)) return [];
  const short: JudgedFinding[] = counted.met
    ? []
    : [{ code: 'short', rule: view.rule.id, short: shortBy(view, counted), subjects: [] }];
  const others = [floorFindings(view), capFindings(view), bandFindings(view), supervisionFindings(view)];
  return [...short, ...others.flat()];
}
