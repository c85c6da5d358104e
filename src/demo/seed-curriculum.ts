import type { Context } from '../platform/context.ts';
import type { Calendar } from './calendar.ts';
import { seedDrills } from './seed-drills.ts';
import type { Place } from './seed-place.ts';
import { type PlanFor, seedPlans } from './seed-plans.ts';

/** Drills with their progressions, and weeks of lesson plans, published. */
export async function seedCurriculum(ctx: Context, place: Place, calendar: Calendar): Promise<PlanFor> {
  return seedPlans(ctx, place, calendar, await seedDrills(ctx, place));
}
