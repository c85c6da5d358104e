import { z } from 'zod';
import { Day, GymRef, Id, Instant, Line, Name, Revision, Text } from '../../platform/http/wire.ts';
import { Guardian } from '../people/athlete-schema.ts';

export const AthleteRef = GymRef.extend({ athleteId: Id });
export const CollectorRef = AthleteRef.extend({ collectorId: Id });

const until = Day.nullable().meta({ description: 'The first day that is out; null is open' });
export const NewCollector = z
  .strictObject({ name: Name, relation: Line(60), from: Day, until: until.default(null) })
  .meta({ id: 'NewCollector', description: 'Somebody beside the guardians who may collect an athlete' });
export type NewCollector = z.output<typeof NewCollector>;
export const Collector = z
  .strictObject({ collectorId: Id, name: Name, relation: Line(60), from: Day, until })
  .meta({ id: 'Collector' });
export type Collector = z.output<typeof Collector>;

const Note = Text(2000).nullable();
export const NewCustodyNote = z
  .strictObject({ note: Note.meta({ description: 'For the desk only; null takes it away. What stood there is kept' }) })
  .meta({ id: 'NewCustodyNote' });
const revision = Revision.meta({ description: 'The athlete’s' });
export const CustodyNote = z.strictObject({ note: Note, revision }).meta({ id: 'CustodyNote' });
export type CustodyNote = z.output<typeof CustodyNote>;
const WrittenNote = CustodyNote.extend({
  writtenAt: Instant,
  writtenBy: Id.nullable().meta({ description: 'The account' }),
});
export type WrittenNote = z.output<typeof WrittenNote>;
/** So many of the latest are shown. */
export const MOST_NOTES = 50;

export const Collecting = z
  .strictObject({
    athleteId: Id,
    guardians: z.array(Guardian).max(50),
    others: z.array(Collector).max(100),
    custodyNote: Note.meta({ description: 'As it holds now' }),
    custodyNotes: z
      .array(WrittenNote)
      .max(MOST_NOTES)
      .meta({ description: 'As it was written each time, the last first' }),
    revision,
  })
  .meta({ id: 'Collecting', description: 'Who may collect an athlete' });
export type Collecting = z.output<typeof Collecting>;
