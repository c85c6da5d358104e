import { z } from 'zod';
import { Day, GymRef, Id, Instant, Line, Name, PageQuery, page, wholeOr } from '../../platform/http/wire.ts';
import { SignOffLevel } from '../people/staff-schema.ts';

export const PairRequestRef = GymRef.extend({ pairRequestId: Id });
const name = z.string().max(300);

export const WatchQuery = z.strictObject({
  ...PageQuery,
  days: wholeOr(28, 1, 92).meta({ description: 'How many days ahead, from today' }),
});
const DueWatch = z
  .strictObject({
    personId: Id,
    name,
    skillId: Id,
    skill: Name,
    needs: SignOffLevel.meta({ description: 'What the strictest of their stations asks' }),
    holds: SignOffLevel.nullable().meta({ description: 'Signed off so far on the first of those days' }),
    until: Day.nullable().meta({ description: 'From when that holds no more' }),
    why: z.enum(['never', 'lower', 'ending']),
    firstOn: Day.meta({ description: 'The first day on which they stand there' }),
    blocks: z.int().min(1).max(100_000),
  })
  .meta({ id: 'DueWatch', description: 'Somebody who is to spot a skill, and is not signed off for all of it' });
export type DueWatch = z.output<typeof DueWatch>;
export const DueWatchPage = page(DueWatch, 'DueWatchPage');

export const NewPairRequest = z
  .strictObject({ skillId: Id, note: Line(300).nullable().default(null) })
  .meta({ id: 'NewPairRequest' });
export type NewPairRequest = z.output<typeof NewPairRequest>;
export const PairRequest = z
  .strictObject({
    id: Id,
    personId: Id,
    name,
    skillId: Id,
    skill: Name,
    note: Line(300).nullable(),
    askedAt: Instant,
    settledAt: Instant.nullable(),
  })
  .meta({ id: 'PairRequest', description: '"Please pair me": somebody asks to be watched at a skill' });
export type PairRequest = z.output<typeof PairRequest>;
export const PairRequestPage = page(PairRequest, 'PairRequestPage');
export const PairRequestQuery = z.strictObject({
  ...PageQuery,
  settled: z.enum(['true', 'false']).default('false').meta({ description: 'Those that have been settled instead' }),
});
