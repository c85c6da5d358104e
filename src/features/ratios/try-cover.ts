import {
  coverTimeline,
  formatFraction,
  HEADROOM_BOUND,
  headroom,
  type Names,
  ruleSet,
  textsIn,
  ZERO,
} from '../../cover/index.ts';
import type { Athlete, Count, Cover, Floor, Rule } from '../../cover/types.ts';
import { ruleOf, storedOf } from '../../enforcement/rule-codec.ts';
import { coverOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { type Fault, invalid } from '../../platform/problem.ts';
import { withMixedAges } from './adopt-standard.ts';
import { refuseFaults } from './refusals.ts';
import * as repo from './repo.ts';
import { faultsInRule } from './rule-check.ts';
import { type Kinds, kindsOf } from './rule-references.ts';
import { findStandard, slotsAsKinds } from './standards.ts';
import { stepsFor } from './trial-cost.ts';
import { ageOn, likeAthlete, TRIED_BLOCK, trialFloor } from './trial-floor.ts';
import { type CoverTrial, MOST_RULES, type TriedCover, type TriedRule } from './trial-schema.ts';
import { storedFrom } from './written.ts';

/** Tens of milliseconds; and for the headroom, which judges the floor again for each one more, a few seconds. */
const MOST_STEPS = 1_000_000;
const MOST_STEPS_FOR_ROOM = 50_000_000;

/**
 * Judges a made-up floor by rules, and keeps nothing. Each rule is applied to the floor whatever its scope and days: a
 * trial asks what a rule means, not where it holds.
 */
export async function tryCover(ctx: Context, trial: CoverTrial): Promise<TriedCover> {
  const day = trial.day ?? ctx.now.toISOString().slice(0, 10);
  const tried: repo.NamedRule[] = [];
  for (const [index, one] of trial.rules.entries()) tried.push(...(await rulesOf(ctx, one, index, day)));
  if (tried.length > MOST_RULES) throw invalid('/rules', `At most ${MOST_RULES} rules; these are ${tried.length}.`);
  const twice = tried.find(({ rule }, at) => tried.findIndex((other) => other.rule.id === rule.id) < at);
  if (twice) throw invalid('/rules', `"${twice.name}" is there twice.`);

  const floor = trialFloor(
    trial,
    day,
    tried.map(({ rule }) => everywhere(rule, day)),
  );
  if (stepsFor(floor) > MOST_STEPS) {
    throw invalid('', 'That is too much to try at once: take fewer rules, tests, staff or stations.');
  }
  const names = namesOf(ctx, floor, tried, await kindsOf(ctx));
  const covers = coverTimeline(floor);
  const most = binding(covers, floor);
  return {
    day,
    covered: covers.every(({ covered }) => covered),
    needed: most?.needed ?? 0,
    counted: formatFraction(most?.counted ?? ZERO),
    bindingRuleId: most?.rule ?? null,
    covers: covers.map((cover) => coverOnWire(cover, names)),
    headroom: roomIn(floor, trial, day),
  };
}

async function rulesOf(ctx: Context, one: TriedRule, index: number, day: string): Promise<repo.NamedRule[]> {
  const at = `/rules/${index}`;
  if ('ruleId' in one) {
    const stored = await repo.findRuleOn(ctx, one.ruleId, day);
    if (!stored) throw invalid(`${at}/ruleId`, 'There is no such rule in the franchise.');
    return [stored];
  }
  if ('rule' in one) {
    const stored = storedFrom(one.rule);
    refuseFaults(faultsInRule(stored, `${at}/rule`));
    const written = {
      id: `rule ${index + 1}`,
      version: 1,
      owner: 'franchise',
      inForce: { from: day, to: null },
    } as const;
    return [{ name: one.name, rule: { ...ruleOf(stored), ...written } }];
  }
  const standard = findStandard(one.standard);
  if (!standard) throw invalid(`${at}/standard`, 'There is no such standard: see GET /v1/ratio-standards.');
  const parts = one.parts ?? standard.parts;
  refuseFaults(
    parts.flatMap((part, i): Fault[] =>
      standard.parts.includes(part)
        ? []
        : [{ pointer: `${at}/parts/${i}`, detail: `Its parts are ${standard.parts.join(', ')}.` }],
    ),
  );
  const rules = ruleSet(standard.id, {
    inForceFrom: day,
    kinds: slotsAsKinds(standard),
    whileSpotting: one.whileSpotting ?? 'counts',
  });
  return rules.flatMap((rule, i) => {
    const part = standard.parts[i] ?? '';
    if (!parts.includes(part)) return [];
    const stored = withMixedAges(storedOf(rule), one);
    refuseFaults(faultsInRule(stored, at));
    const name = standard.parts.length === 1 ? standard.name : `${standard.name}: ${part}`;
    return [{ name, rule: { ...rule, ...ruleOf(stored) } }];
  });
}

const everywhere = (rule: Rule, day: string): Rule => ({
  ...rule,
  scope: {},
  except: null,
  inForce: { from: day, to: null },
});

/** Of all rules that refuse, the count that asks for most people; of equals, the first that is not met. */
function binding(covers: readonly Cover[], { rules }: Floor): Count | null {
  const refusing = new Set(rules.filter(({ strength }) => strength === 'refuse').map(({ id }) => id));
  const counts = covers.flatMap((cover) => cover.counts).filter(({ rule }) => refusing.has(rule));
  return counts.reduce<Count | null>((most, one) => {
    if (most === null || one.needed > most.needed) return one;
    return one.needed === most.needed && most.met && !one.met ? one : most;
  }, null);
}

function roomIn(floor: Floor, trial: CoverTrial, day: string): TriedCover['headroom'] {
  const model = trial.oneMore ? likeAthlete(trial.oneMore, day) : youngest(floor.athletes);
  if (!model) return null;
  const like: Athlete = { ...model, person: 'one more', support: null };
  const fuller = { ...floor, athletes: [...floor.athletes, ...new Array<Athlete>(HEADROOM_BOUND).fill(like)] };
  if (stepsFor(fuller) * HEADROOM_BOUND > MOST_STEPS_FOR_ROOM) return null;
  const { more, binding: rule } = headroom(floor, TRIED_BLOCK, like);
  return { more, bindingRuleId: rule, ageMonths: ageOn(like.born, trial, day) };
}

/** Whose birth date is unknown is taken for nobody's younger. */
const youngest = (athletes: readonly Athlete[]): Athlete | undefined =>
  athletes.reduce<Athlete | undefined>((a, b) => ((b.born ?? '') > (a?.born ?? '') ? b : (a ?? b)), undefined);

function namesOf(ctx: Context, floor: Floor, tried: readonly repo.NamedRule[], kinds: Kinds): Names {
  const texts = textsIn(ctx.language);
  const rules = new Map(tried.map(({ name, rule }) => [rule.id, name]));
  const same = (id: string) => id;
  return {
    language: ctx.language,
    zone: floor.zone,
    unit: ({ per }) => texts.tried[per],
    rule: (id) => rules.get(id) ?? id,
    band: (_rule, band) => band,
    person: same,
    station: same,
    area: same,
    kind: (id, grade) => {
      const kind = kinds.get(id);
      if (!kind) return grade === 1 ? id : texts.grade({ kind: id, grade });
      return kind.grades.length > 1 ? `${kind.name}, ${kind.grades[grade - 1]}` : kind.name;
    },
  };
}
