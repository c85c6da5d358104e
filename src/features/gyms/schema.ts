import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import { GymRef, Id, Instant, Line, Name, page, Reason, Revision } from '../../platform/http/wire.ts';
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

const Centimetres = z.int().min(1).max(5000).nullable();
const apparatus = {
  name: Name,
  secondsATurn: z
    .int()
    .min(1)
    .max(3600)
    .meta({ description: 'What a drill on it takes a turn, with the way back, where nobody says otherwise' }),
  lengthCm: Centimetres.meta({ description: 'Of one, as it stands in use; null: not measured' }),
  widthCm: Centimetres,
  heightCm: Centimetres.meta({ description: 'From the floor it stands on to its top' }),
  armHeavy: z.boolean().meta({ description: 'Heavy on the arms: plans keep such blocks apart' }),
};
/** Seconds a turn, with the way back: common practice, no source. A franchise sets its own by apparatus. */
const SECONDS_A_TURN = 20;
export const NewApparatus = z
  .strictObject({
    name: Name,
    secondsATurn: apparatus.secondsATurn.default(SECONDS_A_TURN),
    lengthCm: apparatus.lengthCm.default(null),
    widthCm: apparatus.widthCm.default(null),
    heightCm: apparatus.heightCm.default(null),
    armHeavy: apparatus.armHeavy.default(false),
  })
  .meta({ id: 'NewApparatus' });
export type NewApparatus = z.output<typeof NewApparatus>;
export const ApparatusChanges = z
  .strictObject(apparatus)
  .partial()
  .meta({ id: 'ApparatusChanges', example: { name: 'Low beam' } });
export type ApparatusChanges = z.output<typeof ApparatusChanges>;
export const Apparatus = z.strictObject({ id: Id, ...apparatus, revision: Revision }).meta({ id: 'Apparatus' });
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

const amount = z.int().min(0).max(1_000_000);
const ShortStation = z
  .strictObject({
    sessionId: Id,
    classId: Id,
    className: Name,
    blockId: Id,
    stationId: Id.meta({ description: 'The station in the plan: it stands in each block that is taught from it' }),
    station: Line(80).meta({ description: 'What the plan calls it' }),
    startsAt: Instant,
    endsAt: Instant,
    confirmed: z.boolean().meta({ description: 'Whether its block is confirmed' }),
    amount: amount.meta({ description: 'How many it needs' }),
    needed: amount.meta({ description: 'How many all sessions of the gym need then, at the worst moment' }),
    inUse: amount.meta({ description: 'How many may be used' }),
    orInstead: z.boolean().meta({ description: 'Its plan says what will do instead' }),
  })
  .meta({ id: 'ShortStation' });
export type ShortStation = z.output<typeof ShortStation>;
const ShortStations = z
  .strictObject({
    stations: z.array(ShortStation).max(200).meta({ description: 'The first of them, by their start' }),
    stationsCount: amount.meta({ description: 'How many there are, with those that `stations` does not name' }),
    sessionsCount: amount,
  })
  .meta({
    id: 'ShortStations',
    description: 'Stations still to be taught that need more of it, with all sessions then, than may be used',
  });
export type ShortStations = z.output<typeof ShortStations>;
export const NONE_SHORT: ShortStations = { stations: [], stationsCount: 0, sessionsCount: 0 };

/** What may be used of an apparatus at a gym: what stands in its areas, less what is out of use. */
export const Equipment = z
  .strictObject({
    apparatusId: Id,
    name: Name,
    items: z.int().min(0).max(9999).meta({ description: 'How many the gym has, in all its areas' }),
    outOfUse: z.int().min(0).max(9999),
    inUse: z.int().min(0).max(9999).meta({ description: 'How many may be planned with' }),
    short: ShortStations,
  })
  .meta({ id: 'Equipment' });
export type Equipment = z.output<typeof Equipment>;
export const EquipmentPage = page(Equipment, 'EquipmentPage');

export const OutOfUse = z
  .strictObject({
    apparatusId: Id,
    items: z.int().min(0).max(99).meta({ description: 'How many of what stands there; 0: all may be used again' }),
    why: Reason,
  })
  .meta({ id: 'OutOfUse', example: { apparatusId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11', items: 1, why: 'Torn.' } });
export type OutOfUse = z.output<typeof OutOfUse>;
export const TakenOutOfUse = z.strictObject({ ...OutOfUse.shape, short: ShortStations }).meta({ id: 'TakenOutOfUse' });
export type TakenOutOfUse = z.output<typeof TakenOutOfUse>;
