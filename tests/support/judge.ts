/**
 * The judge: what cover says, worked out the slow and obvious way, one moment at a time. It shares nothing with the
 * engine but the types, so that a property that holds both to the same answer means something.
 */
import type { Athlete, Block, Floor, Id, Rule, Span, Staff, Unit } from '../../src/cover/types.ts';
import { count, type JudgedCount, type JudgedFinding, ruleFindings } from './judge-checks.ts';
import { headsAt, isIn, less, viewOf, within } from './judge-facts.ts';
import { blockFindings, sceneAt, supportFindings } from './judge-spotting.ts';

const MINUTE = 60_000;

export type Judged = { covered: boolean; findings: JudgedFinding[]; counts: JudgedCount[] };

/** Accepted by name: same unit, code, rule and moment, no subject beyond those named, no larger shortfall. */
function isExcused(floor: Floor, unit: Unit, moment: number, finding: JudgedFinding, rule: Rule | undefined): boolean {
  if (rule && !rule.overridable) return false;
  return floor.overrides.some(
    (one) =>
      one.unit.per === unit.per &&
      one.unit.id === unit.id &&
      within(moment, one.span) &&
      one.code === finding.code &&
      one.rule === finding.rule &&
      finding.subjects.every((subject) => one.subjects.includes(subject.id)) &&
      !less(one.short, finding.short),
  );
}

/** One unit at one moment by its own findings alone: what a `Cover` says of it. */
export function judgeAlone(floor: Floor, unit: Unit, moment: number): Judged {
  const running = floor.blocks.filter((block) => within(moment, block.span) && isIn(unit, block));
  const scene = sceneAt(floor, moment);
  const findings: JudgedFinding[] = [];
  if (unit.per === 'block') findings.push(...running.flatMap((block) => blockFindings(scene, block)));
  if (unit.per === 'premises') findings.push(...supportFindings(scene, null));
  const counts: JudgedCount[] = [];
  for (const rule of floor.rules) {
    const view = viewOf(scene, unit, rule);
    if (view === null) continue;
    const counted = count(view);
    if (rule.bands.length > 0) counts.push(counted);
    findings.push(...ruleFindings(view, counted));
  }
  const covered = findings.every((finding) => {
    const rule = floor.rules.find((one) => one.id === finding.rule);
    return rule?.strength === 'warn' || isExcused(floor, unit, moment, finding, rule);
  });
  return { covered, findings, counts };
}

/** One unit at one moment. A block with athletes is covered only if its session and the premises are. */
export function judgeAt(floor: Floor, unit: Unit, moment: number): Judged {
  const own = judgeAlone(floor, unit, moment);
  const block = unit.per === 'block' ? floor.blocks.find((one) => one.id === unit.id) : undefined;
  const isEmpty = !headsAt(sceneAt(floor, moment)).some((head) => head.block === block);
  if (block === undefined || isEmpty) return own;
  const session = judgeAlone(floor, { per: 'session', id: block.session }, moment);
  const premises = judgeAlone(floor, { per: 'premises', id: floor.gym }, moment);
  return { ...own, covered: own.covered && session.covered && premises.covered };
}

function minutesOf(span: Span): number[] {
  return Array.from({ length: Math.ceil((span.to - span.from) / MINUTE) }, (_, i) => span.from + i * MINUTE);
}

export function judgeMinuteByMinute(floor: Floor, unit: Unit): { moment: number; judged: Judged }[] {
  return minutesOf(floor.over).map((moment) => ({ moment, judged: judgeAt(floor, unit, moment) }));
}

/** The moments within a span at which anything on the floor begins or ends; between two of them nothing changes. */
function momentsOf(floor: Floor, span: Span): number[] {
  const spans = [
    ...floor.blocks.flatMap((block) => [block.span, ...block.stations.map((station) => station.span)]),
    ...floor.athletes.flatMap((one) => [
      ...one.at.map((at) => at.span),
      ...one.traits.flatMap((trait) => trait.spans ?? []),
    ]),
    ...floor.staff.flatMap((one) => [...one.at.map((at) => at.span), ...one.takingPart]),
    ...floor.overrides.map((one) => one.span),
  ];
  const edges = [span.from, ...spans.flatMap(({ from, to }) => [from, to])];
  return [...new Set(edges)].filter((moment) => within(moment, span)).sort((a, b) => a - b);
}

/** Confirmed blocks that are not covered over their whole span; with `at`, only those that have not ended by then. */
export function judgeUncovered(floor: Floor, at: number | null = null): Id[] {
  return floor.blocks
    .filter((block) => block.confirmed && (at === null || block.span.to > at))
    .filter((block) =>
      momentsOf(floor, block.span).some((moment) => !judgeAt(floor, { per: 'block', id: block.id }, moment).covered),
    )
    .map((block) => block.id)
    .sort();
}

/** How many more like this one the block can take once it is confirmed, by trying one more and one more, up to `most`. */
export function judgeHeadroom(floor: Floor, block: Block, like: Athlete, most: number): number {
  const unit: Unit = { per: 'block', id: block.id };
  const category = like.enrolled.find((one) => one.block === block.id)?.category ?? null;
  for (let more = 1; more <= most; more += 1) {
    const newcomers = Array.from(
      { length: more },
      (_, i): Athlete => ({
        ...like,
        person: `newcomer-${i}`,
        family: null,
        at: [{ unit, span: block.span, category }],
        enrolled: [{ block: block.id, category }],
      }),
    );
    const blocks = floor.blocks.map((one) => (one.id === block.id ? { ...one, confirmed: true } : one));
    const fuller = { ...floor, blocks, athletes: [...floor.athletes, ...newcomers] };
    if (momentsOf(fuller, block.span).some((moment) => !judgeAt(fuller, unit, moment).covered)) return more - 1;
  }
  return most;
}

const meet = (a: Span, b: Span): boolean => a.from < b.to && b.from < a.to;

/** Everybody who has two places at once, or one while they are at another gym. */
export function judgeTwoPlaces(floor: Floor): Id[] {
  const spansOf = (one: Staff): Span[] => [...one.at.map((at) => at.span), ...one.elsewhere];
  const isTwice = (one: Staff): boolean =>
    one.at.some((at, i) => spansOf(one).some((other, j) => i !== j && meet(at.span, other)));
  const isTwiceAsAthlete = (one: Athlete): boolean =>
    one.at.some((at, i) => one.at.some((other, j) => i !== j && meet(at.span, other.span)));
  return [
    ...floor.staff.filter(isTwice).map((one) => one.person),
    ...floor.athletes.filter(isTwiceAsAthlete).map((one) => one.person),
  ].sort();
}
