import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import { GymRef, Id, Line, Name, page, Revision } from '../../platform/http/wire.ts';
import { DOORS } from '../../tables/gyms.ts';

const zones = new Set(Intl.supportedValuesOf('timeZone'));

export const Zone = z
  .string()
  .max(60)
  .refine((zone) => zones.has(zone) || zone === 'UTC', 'Expected an IANA time zone such as "America/Halifax".')
  .meta({ description: 'IANA time zone', example: 'Europe/Dublin' });

export const ApparatusRef = z.strictObject({ apparatusId: Id });
export const AreaRef = GymRef.extend({ areaId: Id });
export type AreaRef = z.output<typeof AreaRef>;

const gym = {
  name: Name,
  zone: Zone,
  confirmWindowDays: z
    .int()
    .min(0)
    .max(60)
    .meta({ description: 'Covered blocks nearer than this are confirmed by the service; 0 leaves it to people' }),
  door: z
    .enum(DOORS)
    .meta({ description: 'A check-in over the limit is admitted with an alert, or put on hold until it is released' }),
};

export const NewGym = z
  .strictObject({ ...gym, confirmWindowDays: gym.confirmWindowDays.default(7), door: gym.door.default('admit') })
  .meta({ id: 'NewGym' });
export type NewGym = z.output<typeof NewGym>;
export const GymChanges = z.strictObject(gym).omit({ zone: true }).partial().meta({ id: 'GymChanges' });
export type GymChanges = z.output<typeof GymChanges>;
export const Gym = z.strictObject({ id: Id, ...gym, revision: Revision }).meta({ id: 'Gym' });
export type Gym = z.output<typeof Gym>;
export const GymPage = page(Gym, 'GymPage');

export const NewApparatus = z.strictObject({ name: Name }).meta({ id: 'NewApparatus' });
export type NewApparatus = z.output<typeof NewApparatus>;
export const ApparatusChanges = z.strictObject({ name: Name }).meta({ id: 'ApparatusChanges' });
export type ApparatusChanges = z.output<typeof ApparatusChanges>;
export const Apparatus = z.strictObject({ id: Id, name: Name, revision: Revision }).meta({ id: 'Apparatus' });
export type Apparatus = z.output<typeof Apparatus>;
export const ApparatusPage = page(Apparatus, 'ApparatusPage');

const area = {
  name: Line(80),
  apparatus: z
    .array(z.strictObject({ apparatusId: Id, items: z.int().min(1).max(99) }))
    .max(30)
    .meta({ description: 'What stands there, and how many of it' }),
};
export const NewArea = z.strictObject(area).meta({ id: 'NewArea' });
export type NewArea = z.output<typeof NewArea>;
export const AreaChanges = z.strictObject(area).partial().meta({ id: 'AreaChanges' });
export type AreaChanges = z.output<typeof AreaChanges>;
export const Area = z.strictObject({ id: Id, ...area, revision: Revision }).meta({ id: 'Area' });
export type Area = z.output<typeof Area>;
export const ChangedArea = Area.extend({ settled: SettledOnWire }).meta({ id: 'ChangedArea' });
export type ChangedArea = z.output<typeof ChangedArea>;
export const AreaPage = page(Area, 'AreaPage');
