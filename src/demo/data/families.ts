import type { StaffKey } from './staff.ts';

/** A child by their class and their place in its list, from 0. */
interface Which {
  class: string;
  at: number;
}

/** Brothers and sisters. */
export const SIBLINGS: { of: Which; child: Which }[] = [
  { of: { class: 'q-mon-rec', at: 2 }, child: { class: 'q-tue-pre', at: 1 } },
  { of: { class: 'q-mon-rec', at: 5 }, child: { class: 'q-sat-pc', at: 0 } },
  { of: { class: 'q-tue-pre', at: 6 }, child: { class: 'q-thu-rec', at: 4 } },
  { of: { class: 'q-wed-dev', at: 0 }, child: { class: 'q-thu-rec', at: 3 } },
  { of: { class: 'b-mon-rec', at: 1 }, child: { class: 'b-tue-pre', at: 3 } },
  { of: { class: 'b-mon-rec', at: 6 }, child: { class: 'b-thu-dev', at: 1 } },
  { of: { class: 'b-sat-pc', at: 2 }, child: { class: 'b-sat-rec', at: 0 } },
  { of: { class: 'p-tue-rec', at: 7 }, child: { class: 'p-wed-dev', at: 3 } },
  { of: { class: 'p-tue-rec', at: 0 }, child: { class: 'p-fri-pre', at: 2 } },
  { of: { class: 'p-wed-dev', at: 5 }, child: { class: 'p-sat-pc', at: 1 } },
];

/** A mother on the staff. */
export const PARENT_ON_STAFF: { child: Which; staff: StaffKey } = {
  child: { class: 'b-mon-rec', at: 4 },
  staff: 'bea',
};

/** A trainee who trains here too: one person, on the staff and an athlete. */
export const TRAINEE_TRAINS: { child: Which; staff: StaffKey } = {
  child: { class: 'q-wed-dev', at: 6 },
  staff: 'wren',
};

/** A child who has a helper of their own at every block. */
export const SUPPORTED: { child: Which; helper: StaffKey } = {
  child: { class: 'q-mon-rec', at: 0 },
  helper: 'dalia',
};

export const ALERTS: { child: Which; alerts: string }[] = [
  {
    child: { class: 'q-mon-rec', at: 0 },
    alerts: 'Works with Dalia throughout. Show, then say; a warning before loud claps.',
  },
  {
    child: { class: 'q-mon-rec', at: 6 },
    alerts: 'Asthma: inhaler in the blue bag at the desk; two puffs before vault.',
  },
  { child: { class: 'q-tue-pre', at: 3 }, alerts: 'Peanut allergy: pen in the desk drawer, labelled.' },
  {
    child: { class: 'b-thu-dev', at: 2 },
    alerts: 'Left wrist healed in spring: no weight on it when it aches; she says so.',
  },
  {
    child: { class: 'p-tue-rec', at: 5 },
    alerts: 'Type 1 diabetes: juice in the side pocket; may step out at any time.',
  },
  { child: { class: 'p-sat-pc', at: 2 }, alerts: 'Grommets in both ears: face him when you speak.' },
];

export const is = (a: Which, b: Which): boolean => a.class === b.class && a.at === b.at;
