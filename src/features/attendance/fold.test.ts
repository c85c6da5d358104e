import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { MARK_KINDS, STAFF_MARK_KINDS } from '../../tables/attendance.ts';
import { attended, type Mark, worked } from './fold.ts';

const at = (minute: number) => new Date(Date.UTC(2026, 8, 14, 16, minute));
const mark = (id: string, kind: Mark['kind'], minute: number): Mark => ({ id, kind, at: at(minute) });

describe('what marks come to', () => {
  test('an in and an out are a stay, whichever came first', () => {
    const [came, went] = [mark('a', 'in', 0), mark('b', 'out', 50)];
    const whole = { state: 'left', stays: [{ inAt: at(0), outAt: at(50) }], conflicts: new Map() };
    expect(attended([came, went])).toMatchObject(whole);
    expect(attended([went, came])).toMatchObject(whole);
  });

  test('an out alone is a stay of which the beginning is not known, and does not fit', () => {
    expect(attended([mark('b', 'out', 50)])).toMatchObject({
      state: 'left',
      stays: [{ inAt: null, outAt: at(50) }],
      conflicts: new Map([['b', 'not-in']]),
    });
  });

  test('a second in changes nothing, and is a conflict', () => {
    const { stays, conflicts } = attended([mark('a', 'in', 0), mark('b', 'in', 3)]);
    expect(stays).toEqual([{ inAt: at(0), outAt: null }]);
    expect(conflicts).toEqual(new Map([['b', 'already-in']]));
  });

  test('absent, then there after all; on hold, then gone home', () => {
    expect(attended([mark('a', 'absent', 0), mark('b', 'in', 9)]).state).toBe('present');
    expect(attended([mark('a', 'hold', 0), mark('b', 'out', 9)])).toMatchObject({ state: 'left', stays: [] });
  });
});

const marks = <K extends string>(kinds: readonly K[]) =>
  fc.uniqueArray(
    fc.record({ id: fc.uuid(), kind: fc.constantFrom(...kinds), at: fc.integer({ min: 0, max: 30 }).map(at) }),
    { maxLength: 12, selector: ({ id }) => id },
  );

describe('in whatever order marks come', () => {
  test('an athlete’s stays are the same, and one after another', () => {
    fc.assert(
      fc.property(
        marks(MARK_KINDS).chain((all) =>
          fc.tuple(fc.constant(all), fc.shuffledSubarray(all, { minLength: all.length })),
        ),
        ([all, shuffled]) => {
          const told = attended(all);
          expect(attended(shuffled)).toEqual(told);
          const moments = told.stays.flatMap(({ inAt, outAt }) => [inAt, outAt]).filter((one) => one !== null);
          expect(moments).toEqual([...moments].sort((a, b) => a.getTime() - b.getTime()));
          expect(told.stays.filter(({ outAt }) => outAt === null)).toHaveLength(told.state === 'present' ? 1 : 0);
        },
      ),
    );
  });

  test('so are those of the staff', () => {
    fc.assert(
      fc.property(
        marks(STAFF_MARK_KINDS).chain((all) =>
          fc.tuple(fc.constant(all), fc.shuffledSubarray(all, { minLength: all.length })),
        ),
        ([all, shuffled]) => {
          const told = worked(all);
          expect(worked(shuffled)).toEqual(told);
          const open = told.stays.filter(({ outAt }) => outAt === null).map(({ kind }) => kind);
          const should = { away: [], 'at-work': ['work'], 'on-break': ['work', 'break'] }[told.state];
          expect(open).toEqual(should);
        },
      ),
    );
  });
});
