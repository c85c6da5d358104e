import { draftPlan } from '../features/curriculum/draft-plan.ts';
import { addDrill } from '../features/curriculum/drills.ts';
import type { DraftContent } from '../features/curriculum/plan-schema.ts';
import { addProgression } from '../features/curriculum/progressions.ts';
import { publishPlan } from '../features/curriculum/publish-plan.ts';
import { replaceDraft } from '../features/curriculum/replace-draft.ts';
import type { DrillSpotting } from '../features/curriculum/schema.ts';
import type { Context } from '../platform/context.ts';
import { named } from './acting.ts';
import type { Calendar } from './calendar.ts';
import type { DrillData } from './data/drill.ts';
import { DRILLS } from './data/drills.ts';
import type { ProgrammeKey } from './data/place.ts';
import type { BlockData, PlanData } from './data/plan.ts';
import { DEVELOPMENT } from './data/plans-development.ts';
import { LITTLE } from './data/plans-little.ts';
import { SCHOOL } from './data/plans-school.ts';
import type { Place } from './seed-place.ts';

/** The published plan of a programme for a week; 0 is this week. */
export type PlanFor = (programme: ProgrammeKey, week: number) => string;

/** Drills with their progressions, and four weeks of lesson plans, published. */
export async function seedCurriculum(ctx: Context, place: Place, calendar: Calendar): Promise<PlanFor> {
  const drill = await seedDrills(ctx, place);
  const plans: [string, string][] = [];
  for (const plan of [...LITTLE, ...SCHOOL, ...DEVELOPMENT]) {
    const id = await seedPlan(ctx, place, calendar, drill, plan);
    plans.push(...plan.programmes.map((key): [string, string] => [`${key} ${plan.week}`, id]));
  }
  const planOf = named(plans);
  return (programme, week) => planOf(`${programme} ${week}`);
}

async function seedDrills(ctx: Context, place: Place): Promise<(name: string) => string> {
  const ids: [string, string][] = [];
  for (const data of DRILLS) {
    const { id } = await addDrill(ctx, {
      name: data.name,
      apparatusId: place.apparatus(data.on),
      sayFirst: data.sayFirst,
      spotting: spottingOf(data, place),
      skills: [{ skillId: place.skill(data.skill), signOff: data.signOff ?? null }],
      secondsATurn: data.seconds,
      places: data.places,
    });
    ids.push([data.name, id]);
  }
  const drill = named(ids);
  for (const { name, after } of DRILLS) {
    if (after) await addProgression(ctx, { easierId: drill(after), harderId: drill(name) });
  }
  return drill;
}

function spottingOf({ spotting }: DrillData, place: Place): DrillSpotting {
  if (spotting === 'none') return { mode: 'none' };
  const [mode, grade] = spotting.split(' ') as ['stand-by' | 'hands-on', string];
  return { mode, kindId: place.kind('spotting'), grade: Number(grade) };
}

async function seedPlan(
  ctx: Context,
  place: Place,
  calendar: Calendar,
  drill: (name: string) => string,
  { title, week, programmes, blocks }: PlanData,
): Promise<string> {
  const weekOf = calendar.day(7 * week);
  const plan = await draftPlan(ctx, { title, weekOf, programmeIds: programmes.map((key) => place.programme(key)) });
  const content: DraftContent = { blocks: blocks.map((block) => contentOf(block, place, drill)) };
  const draft = await replaceDraft(ctx, plan.id, plan.draft?.revision ?? 1, content);
  await publishPlan(ctx, plan.id, draft.revision);
  return plan.id;
}

const contentOf = (
  { stations, ...block }: BlockData,
  place: Place,
  drill: (name: string) => string,
): DraftContent['blocks'][number] => ({
  ...block,
  stations: stations.map(({ name, setUp, on, items, steps }) => ({
    name,
    setUp,
    apparatusId: place.apparatus(on),
    items,
    steps: steps.map(({ drill: drillName, dose, weight, from }) => ({
      drillId: drill(drillName),
      fromLevelId: from ? place.level(from) : null,
      dose,
      weight,
    })),
  })),
});
