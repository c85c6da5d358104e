import { z } from 'zod';
import { Day, Id, Instant, Name, PageQuery, page, Reason } from '../../platform/http/wire.ts';

export const TermPlaceRef = z.strictObject({ termId: Id, classId: Id });

const number = z.int().min(1).max(60);
const on = Day.optional().meta({
  description: 'As it is when this day begins; left out, today. For a day ahead, sessions before it count as held',
});
export const PlaceQuery = z.strictObject({ on });
export const PlacesQuery = z.strictObject({ ...PageQuery, on });
export type PlacesQuery = z.output<typeof PlacesQuery>;

const setByHand = {
  fromDay: Day.meta({ description: 'From this day on' }),
  week: number.meta({ description: 'The week of the term that it is taught next' }),
  reason: Reason,
};
export const NewTermPlace = z
  .strictObject(setByHand)
  .meta({ id: 'NewTermPlace', example: { fromDay: '2026-10-12', week: 4, reason: 'Joined with the Monday class.' } });
export type NewTermPlace = z.output<typeof NewTermPlace>;

const count = z.int().min(0).max(10_000);
export const TermPlace = z
  .strictObject({
    termId: Id,
    classId: Id,
    className: Name,
    gymId: Id,
    weekday: z.int().min(1).max(7),
    on: Day,
    week: number.nullable().meta({ description: 'The week of the term that it is taught next; null: it is through' }),
    planId: Id.nullable().meta({ description: 'The lesson plan that hangs from that week' }),
    held: count.meta({
      description:
        'Its sessions before `on` that were not cancelled, since the term began or since it was put where it was',
    }),
    due: count.meta({ description: 'How many of the term’s weeks its weekday has had before `on`' }),
    weeksBehind: z.int().min(-10_000).max(60).meta({ description: 'Negative: ahead of the calendar' }),
    setByHand: z
      .strictObject({ ...setByHand, setAt: Instant })
      .nullable()
      .meta({ description: 'Where somebody put it, if they did; it goes on from there' }),
  })
  .meta({ id: 'TermPlace', description: 'How far a class is in a term' });
export type TermPlace = z.output<typeof TermPlace>;
export const TermPlacePage = page(TermPlace, 'TermPlacePage');
