import { CannotStart } from '../platform/cannot-start.ts';

/** Where the tour is told: each step with its number, who does it, what they ask and what they hear. */
export interface Told {
  line(text: string): void;
}

/** A step that differs from what is told, or a reason why there is no tour: one sentence, and the process ends with 1. */
export class TourStops extends CannotStart {
  override name = 'TourStops';
}
