import { z } from 'zod';
import { Day, GymRef, Id, Line, Name, Text } from '../../platform/http/wire.ts';
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

export const CustodyNote = z
  .strictObject({ note: Text(2000).nullable().meta({ description: 'For the desk only; null takes it away' }) })
  .meta({ id: 'CustodyNote' });

export const Collecting = z
  .strictObject({
    athleteId: Id,
    guardians: z.array(Guardian).max(50),
    others: z.array(Collector).max(100),
    custodyNote: Text(2000).nullable(),
  })
  .meta({ id: 'Collecting', description: 'Who may collect an athlete' });
export type Collecting = z.output<typeof Collecting>;
