import { z } from 'zod';
import { Id, Instant, Line, PageQuery, page } from '../../platform/http/wire.ts';

export const EventQuery = z.strictObject({
  ...PageQuery,
  name: Line(60).optional().meta({ description: 'Only events of this name', example: 'staffing.released' }),
  subjectId: Id.optional().meta({ description: 'Only events about this' }),
  from: Instant.optional().meta({ description: 'Not before this moment' }),
  until: Instant.optional().meta({ description: 'Before this moment' }),
});
export type EventQuery = z.output<typeof EventQuery>;

export const Event = z
  .strictObject({
    id: Id,
    name: z.string().max(60),
    at: Instant,
    gymId: Id.nullable(),
    subjectId: Id,
    subjectRevision: z.int().min(1).max(2_147_483_647).nullable(),
    accountId: Id.nullable().meta({ description: 'Who did it; null is the service itself' }),
    requestId: z.string().max(60).meta({ description: 'Events of one request share it' }),
    data: z.record(z.string().max(60), z.unknown()).meta({ description: 'Ids and numbers; see the event’s name' }),
  })
  .meta({ id: 'Event' });
export type Event = z.output<typeof Event>;
export const EventPage = page(Event, 'EventPage');
