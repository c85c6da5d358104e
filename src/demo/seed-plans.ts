import { draftPlan } from '../features/curriculum/draft-plan.ts';
import type { Dose, DraftContent } from '../features/curriculum/plan-content-schema.ts';
import { publishPlan } from '../features/curriculum/publish-plan.ts';
import { replaceDraft } from '../features/curriculum/replace-draft.ts';
import { addTerm } from '../features/curriculum/terms.ts';
import type { Context } from '../platform/context.ts';
import { DOSE_UNITS } from '../tables/plans.ts';
import { named } from './acting.ts';
import type { Calendar } from './calendar.ts';
import { DRAWN } from './data/diagrams.ts';
import { PROGRAMMES, type ProgrammeKey } from './data/place.ts';
import type { BlockData, FocusData, PieceData, PlanData, StepData } from './data/plan.ts';
import { DEVELOPMENT } from './data/plans-development.ts';
import { DEVELOPMENT_LATER } from './data/plans-development-later.ts';
import { LITTLE } from './data/plans-little.ts';
import { LITTLE_LATER } from './data/plans-little-later.ts';
import { SCHOOL } from './data/plans-school.ts';
import { SCHOOL_LATER } from './data/plans-school-later.ts';
import type { Place } from './seed-place.ts';

const PLANS = [...LITTLE, ...LITTLE_LATER, ...SCHOOL, ...SCHOOL_LATER, ...DEVELOPMENT, ...DEVELOPMENT_LATER];

/** The published plan of a programme for a week; 0 is this week. */
export type PlanFor = (programme: ProgrammeKey, week: number) => string;

/** Four weeks of lesson plans, published, and each programme's term that they hang from. */
export async function seedPlans(
  ctx: Context,
  place: Place,
  calendar: Calendar,
  drill: (name: string) => string,
): Promise<PlanFor> {
  const plans: [string, string][] = [];
  for (const plan of PLANS) {
    const id = await seedPlan(ctx, place, calendar, drill, plan);
    plans.push(...plan.programmes.map((key): [string, string] => [`${key} ${plan.week}`, id]));
  }
  const planOf = named(plans);
  const planFor: PlanFor = (programme, week) => planOf(`${programme} ${week}`);
  for (const key of Object.keys(PROGRAMMES) as ProgrammeKey[]) await seedTerm(ctx, place, calendar, planFor, key);
  return planFor;
}

async function seedPlan(
  ctx: Context,
  place: Place,
  calendar: Calendar,
  drill: (name: string) => string,
  { title, week, programmes, note, focus, waterBefore, blocks }: PlanData,
): Promise<string> {
  const weekOf = calendar.day(7 * week);
  const plan = await draftPlan(ctx, { title, weekOf, programmeIds: programmes.map((key) => place.programme(key)) });
  const content: DraftContent = {
    focus: focus.map((one) => focusOf(one, place)),
    blocks: blocks.map((block) => blockOf(block, waterBefore, place, drill)),
  };
  const draft = await replaceDraft(ctx, plan.id, plan.draft?.revision ?? 1, content);
  await publishPlan(ctx, plan.id, draft.revision, { note });
  return plan.id;
}

const STANDING = { new: 'new', continuing: 'continuing', returning: 'revise' } as const;

async function seedTerm(ctx: Context, place: Place, calendar: Calendar, planFor: PlanFor, key: ProgrammeKey) {
  const ours = PLANS.filter(({ programmes }) => programmes.includes(key)).sort((a, b) => a.week - b.week);
  await addTerm(ctx, {
    programmeId: place.programme(key),
    title: 'Four weeks',
    startsOn: calendar.monday,
    weeks: ours.map(({ week, title, focus }) => ({
      planId: planFor(key, week),
      note: title,
      skills: focus.flatMap(({ skills }) =>
        skills.map(([skill, standing]) => ({ skillId: place.skill(skill), standing: STANDING[standing] })),
      ),
    })),
  });
}

const focusOf = ({ on, skills, nextWeek }: FocusData, place: Place): DraftContent['focus'][number] => ({
  apparatusId: place.apparatus(on),
  skills: skills.map(([skill, standing]) => ({ skillId: place.skill(skill), standing })),
  nextWeek,
});

const blockOf = (
  { stations, ...block }: BlockData,
  waterBefore: string | undefined,
  place: Place,
  drill: (name: string) => string,
): DraftContent['blocks'][number] => ({
  ...block,
  waterFirst: block.title === waterBefore,
  apparatusIds: [...new Set(stations.map(({ on }) => place.apparatus(on)))],
  stations: stations.map(({ name, on, items, setUp, pieces = [], staysUp, places, steps }) => ({
    name,
    apparatusId: place.apparatus(on),
    items,
    setUp: {
      words: setUp,
      pieces: pieces.map((one) => pieceOf(one, place)),
      staysUp: staysUp ?? false,
      diagram: DRAWN.get(setUp) ?? null,
    },
    places: places ?? null,
    steps: steps.map((step) => stepOf(step, place, drill)),
  })),
});

type Station = DraftContent['blocks'][number]['stations'][number];
const pieceOf = (
  { kit, amount, job, mixed, orInstead = [] }: PieceData,
  place: Place,
): Station['setUp']['pieces'][number] => ({
  apparatusId: place.apparatus(kit),
  amount,
  job,
  forMixedSizes: mixed ?? false,
  orInstead: orInstead.map(([enough, other]) => ({ apparatusId: place.apparatus(other), amount: enough })),
});

const stepOf = (
  { drills, chooseBy, dose, weight, from }: StepData,
  place: Place,
  drill: (name: string) => string,
): Station['steps'][number] => ({
  drillIds: drills.map(drill),
  chooseBy,
  fromLevelId: from ? place.level(from) : null,
  dose: doseOf(dose),
  weight,
});

/** "3 sets of 4 times each side, slowly"; what is not said so stays words. */
function doseOf(said: string): Dose {
  const [, sets, amount, unit, side, note] =
    /^(?:(\d+) sets of )?(\d+) (\w+?)( each side)?(?:, (.+))?$/.exec(said) ?? [];
  const known = DOSE_UNITS.find((one) => one === unit);
  if (amount === undefined || known === undefined) {
    return { amount: null, unit: null, sets: 1, eachSide: false, note: said };
  }
  return {
    amount: Number(amount),
    unit: known,
    sets: Number(sets ?? 1),
    eachSide: side !== undefined,
    note: note ?? null,
  };
}
