import { z } from 'zod';
import { Day, GymRef, Id, Instant } from '../../platform/http/wire.ts';
import { ACTIVITIES } from '../../tables/plans.ts';
import { Monday } from '../curriculum/plan-schema.ts';
import { LessonSheet } from './sheet-schema.ts';

export const WeekRef = GymRef.extend({ day: Monday });
export const WeekQuery = z.strictObject({
  programmeId: Id.optional().meta({ description: 'Only the classes of this programme' }),
});

const name = z.string().max(300);
const Meeting = z
  .strictObject({ sessionId: Id, className: name, day: Day, startsAt: Instant, endsAt: Instant })
  .meta({ id: 'WeekMeeting' });
export const MOST_MEETINGS = 500;
export const MOST_PLANS = 60;

export const WeekSheet = z
  .strictObject({
    gymId: Id,
    gym: name,
    zone: z.string().max(60),
    weekOf: Day,
    printedAt: Instant,
    plans: z
      .array(
        z.strictObject({
          planId: Id,
          number: z.int().min(1),
          title: name,
          programme: name,
          focus: LessonSheet.shape.focus,
          blocks: z
            .array(
              z.strictObject({
                title: name,
                activity: z.enum(ACTIVITIES),
                minutes: z.int().min(0).max(240),
                apparatus: z.array(name).max(8),
                stations: z.array(name).max(12),
              }),
            )
            .max(20),
          meetings: z.array(Meeting).max(MOST_MEETINGS),
        }),
      )
      .max(MOST_PLANS)
      .meta({ description: 'What is taught that week, a programme and version each, with the classes taught from it' }),
    notLaidOut: z.array(Meeting).max(MOST_MEETINGS),
    leftOut: z.int().min(0).max(1_000_000).meta({ description: 'Meetings beyond what a page has room for' }),
    lines: z
      .array(z.strictObject({ programme: name, line: z.string().max(1000) }))
      .max(MOST_PLANS)
      .meta({ description: 'One plain line each, for desk and parents: what is taught, and why' }),
  })
  .meta({ id: 'WeekSheet' });
export type WeekSheet = z.output<typeof WeekSheet>;
