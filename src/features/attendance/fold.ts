import type { MARK_KINDS, STAFF_MARK_KINDS } from '../../tables/attendance.ts';

// What was said, in whatever order it came, put in the order of its own times. The same marks always come to the same
// stays, so that a device that was offline can tell its part late.

export interface Mark<Kind extends string = (typeof MARK_KINDS)[number]> {
  id: string;
  kind: Kind;
  at: Date;
}
export interface Stay {
  /** Null: they went, and nobody has said yet when they came. */
  inAt: Date | null;
  /** Null: they are still there. */
  outAt: Date | null;
}
export type Conflict = 'already-in' | 'already-out' | 'not-in' | 'is-here';

export interface Attended {
  state: 'expected' | 'present' | 'absent' | 'on-hold' | 'left';
  /** The time of the last mark that changed something; null with none. */
  since: Date | null;
  late: boolean;
  stays: Stay[];
  /** The marks that do not fit the others, by id. They change nothing. */
  conflicts: Map<string, Conflict>;
}

const AT_ONE_MOMENT = ['late', 'absent', 'hold', 'in', 'release', 'back', 'break', 'out'];

const inOrder = <K extends string>(marks: readonly Mark<K>[]): Mark<K>[] =>
  [...marks].sort(
    (a, b) =>
      a.at.getTime() - b.at.getTime() ||
      AT_ONE_MOMENT.indexOf(a.kind) - AT_ONE_MOMENT.indexOf(b.kind) ||
      (a.id < b.id ? -1 : 1),
  );

/** What an athlete's marks for one session come to. */
export function attended(marks: readonly Mark[]): Attended {
  const to: Attended = { state: 'expected', since: null, late: false, stays: [], conflicts: new Map() };
  for (const mark of inOrder(marks)) {
    const conflict = follow(to, mark);
    if (conflict !== null) to.conflicts.set(mark.id, conflict);
    if (conflict === null || conflict === 'not-in') to.since = mark.at;
  }
  return to;
}

function follow(to: Attended, { kind, at }: Mark): Conflict | null {
  switch (kind) {
    case 'in':
    case 'release':
      if (to.state === 'present') return 'already-in';
      to.state = 'present';
      to.stays.push({ inAt: at, outAt: null });
      return null;
    case 'hold':
      if (to.state === 'present') return 'already-in';
      to.state = 'on-hold';
      return null;
    case 'out':
      return goOut(to, at);
    case 'absent':
    case 'late':
      if (to.state === 'present' || to.state === 'left') return 'is-here';
      to.state = kind === 'late' ? 'expected' : 'absent';
      to.late = kind === 'late';
      return null;
  }
}

function goOut(to: Attended, at: Date): Conflict | null {
  const was = to.state;
  if (was === 'left') return 'already-out';
  to.state = 'left';
  if (was === 'on-hold') return null;
  const open = to.stays.at(-1);
  if (was === 'present' && open) {
    open.outAt = at;
    return null;
  }
  to.stays.push({ inAt: null, outAt: at });
  return 'not-in';
}

export interface StaffStay extends Stay {
  kind: 'work' | 'break';
}
export type StaffConflict = 'already-in' | 'already-out' | 'not-in' | 'on-break' | 'not-on-break';

export interface Worked {
  state: 'away' | 'at-work' | 'on-break';
  stays: StaffStay[];
  conflicts: Map<string, StaffConflict>;
}

/** What the marks of somebody on the staff come to, for one day at one gym. Leaving ends a break. */
export function worked(marks: readonly Mark<(typeof STAFF_MARK_KINDS)[number]>[]): Worked {
  const to: Worked = { state: 'away', stays: [], conflicts: new Map() };
  for (const { id, kind, at } of inOrder(marks)) {
    const conflict = followStaff(to, kind, at);
    if (conflict !== null) to.conflicts.set(id, conflict);
  }
  return to;
}

function followStaff(to: Worked, kind: (typeof STAFF_MARK_KINDS)[number], at: Date): StaffConflict | null {
  const close = (which: StaffStay['kind']) => {
    const open = to.stays.find((stay) => stay.kind === which && stay.outAt === null);
    if (open) open.outAt = at;
  };
  switch (kind) {
    case 'in':
      if (to.state !== 'away') return 'already-in';
      to.state = 'at-work';
      to.stays.push({ kind: 'work', inAt: at, outAt: null });
      return null;
    case 'break':
      if (to.state !== 'at-work') return to.state === 'away' ? 'not-in' : 'on-break';
      to.state = 'on-break';
      to.stays.push({ kind: 'break', inAt: at, outAt: null });
      return null;
    case 'back':
      if (to.state !== 'on-break') return 'not-on-break';
      to.state = 'at-work';
      close('break');
      return null;
    case 'out':
      if (to.state === 'away') {
        if (to.stays.length > 0) return 'already-out';
        to.stays.push({ kind: 'work', inAt: null, outAt: at });
        return 'not-in';
      }
      to.state = 'away';
      close('break');
      close('work');
      return null;
  }
}
