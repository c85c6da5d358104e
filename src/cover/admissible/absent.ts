import { common } from '../hall.ts';
import type { Guard } from './guard.ts';

/** Nobody who is recorded as away is given anything to do then. */
export const absent: Guard = {
  why: 'absent',
  refuse: ({ staff, place }) =>
    staff.absent.flatMap((span) => {
      const away = common(span, place.span);
      return away === null ? [] : [{ why: 'absent' as const, span: away, failed: null }];
    }),
};
