import type { Lack } from './checks/check.ts';
import { floorsFor, peopleAsked } from './checks/floor.ts';
import { placeChecks, ruleChecks } from './checks/index.ts';
import { compare, minus } from './fraction.ts';
import { type Hall, keyOf } from './hall.ts';
import { isExcusedBy } from './overrides.ts';
import type { Moment, Spot, View } from './scene.ts';
import { askedBy } from './shares.ts';
import type { Code, Cover, Finding, Fraction, Id, Rule, Unit } from './types.ts';
import { hasAthletes } from './view.ts';

type Judged = {
  unit: Unit;
  moment: Moment;
  views: View[];
  spotters: Cover['spotters'];
  /** Places whose own needs (spotting, support, their plan) belong to this unit. */
  places: Spot[];
};

/** The cover of one unit at one moment. */
export function coverAt(hall: Hall, { unit, moment, views, spotters, places }: Judged): Cover {
  const findings: Finding[] = [];
  for (const place of places) {
    for (const { code, check } of placeChecks) {
      for (const lack of check(place, moment)) findings.push(findingOf(hall, unit, moment, code, null, lack));
    }
  }
  for (const view of views) {
    if (!hasAthletes(view.spots)) continue;
    for (const { code, check } of ruleChecks) {
      for (const lack of check(view)) findings.push(findingOf(hall, unit, moment, code, view.rule, lack));
    }
  }

  const inOrder = byRule(views);
  return {
    unit,
    span: moment.span,
    covered: findings.every(({ strength, override }) => strength === 'warn' || override !== null),
    counts: views.filter(({ rule }) => rule.bands.length > 0).map(({ count }) => count),
    binding: bindingOf(views),
    spotters,
    supervised: inOrder.flatMap(supervisedIn),
    youngStaff: inOrder.flatMap(youngIn),
    findings,
  };
}

const byRule = (views: readonly View[]): View[] =>
  views.length < 2 ? [...views] : [...views].sort((a, b) => (a.rule.id < b.rule.id ? -1 : 1));

const youngIn = ({ rule, youngsters }: View): Cover['youngStaff'] =>
  [...youngsters].sort().map((person) => ({ rule: rule.id, person }));

const supervisedIn = ({ rule, trainees: { all, under } }: View): Cover['supervised'] =>
  [...all].sort().map((trainee) => {
    const supervisor = under.find((one) => one.trainee === trainee)?.supervisor ?? null;
    return { rule: rule.id, trainee, supervisor };
  });

/** Neighbours that differ in nothing but their span become one segment. */
export function merged(covers: Cover[]): Cover[] {
  const kept: Cover[] = [];
  for (const cover of covers) {
    const last = kept.at(-1);
    if (last === undefined || !isSame(last, cover)) {
      kept.push(cover);
      continue;
    }
    last.span = { from: last.span.from, to: cover.span.to };
    for (const finding of last.findings) finding.span = last.span;
  }
  return kept;
}

/** The rule that asks for most people, floors included; then the one with least slack; then by id. */
function bindingOf(views: View[]): Id | null {
  let binding: { id: Id; people: number; slack: Fraction } | null = null;
  for (const view of views) {
    const { rule, count } = view;
    if (rule.strength !== 'refuse' || !hasAthletes(view.spots)) continue;
    const people = Math.max(count.needed, peopleAsked(floorsFor(rule, view.heads.length)));
    if (people === 0) continue;
    const slack = minus(count.counted, askedBy(rule, count.load));
    const order =
      binding === null
        ? -1
        : binding.people - people || compare(slack, binding.slack) || (rule.id < binding.id ? -1 : 1);
    if (order < 0) binding = { id: rule.id, people, slack };
  }
  return binding?.id ?? null;
}

function findingOf(hall: Hall, unit: Unit, { span }: Moment, code: Code, rule: Rule | null, lack: Lack): Finding {
  const finding: Finding = {
    code,
    unit,
    span,
    rule: rule?.id ?? null,
    strength: rule?.strength ?? 'refuse',
    short: lack.short,
    numbers: lack.numbers ?? {},
    count: lack.count ?? null,
    failed: lack.failed ?? null,
    subjects: lack.subjects ?? [],
    override: null,
  };
  if (rule === null || rule.overridable) {
    const overrides = hall.overrides.get(keyOf(unit)) ?? [];
    finding.override = overrides.find((override) => isExcusedBy(finding, override))?.id ?? null;
  }
  return finding;
}

function isSame(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  if (Array.isArray(a)) return Array.isArray(b) && a.length === b.length && a.every((one, i) => isSame(one, b[i]));
  const keys = Object.keys(a);
  if (keys.length !== Object.keys(b).length) return false;
  return keys.every((key) => key === 'span' || isSame(Reflect.get(a, key), Reflect.get(b, key)));
}
