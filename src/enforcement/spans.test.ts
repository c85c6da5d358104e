import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Span } from '../cover/index.ts';
import { holds, united, within, without } from './spans.ts';

const spans = (text: string): Span[] =>
  text === ''
    ? []
    : text.split(' ').map((one) => {
        const [from, to] = one.split('-').map(Number) as [number, number];
        return { from, to };
      });
const first = (text: string) => spans(text)[0] as Span;

describe('the part of a span in another', () => {
  test.each([
    ['0-10', '3-5', '3-5'],
    ['3-5', '0-10', '3-5'],
    ['0-10', '5-15', '5-10'],
    ['0-10', '10-15', ''],
    ['0-10', '12-15', ''],
  ])('%s in %s is %s', (span, other, part) => expect(within(first(span), first(other))).toEqual(spans(part)));
});

describe('spans without others', () => {
  test.each([
    ['0-10', '', '0-10'],
    ['0-10', '3-5', '0-3 5-10'],
    ['0-10', '0-10', ''],
    ['0-10', '5-20', '0-5'],
    ['0-10', '10-20', '0-10'],
    ['0-10', '3-5 4-8', '0-3 8-10'],
    ['0-10 20-30', '5-25', '0-5 25-30'],
    ['5-5', '', ''],
    ['0-60', '5-0', '0-60'],
    ['0-60', '5-5', '0-60'],
  ])('%s without %s is %s', (some, holes, left) => expect(without(spans(some), spans(holes))).toEqual(spans(left)));
});

test('a moment is left when a span has it and no other does', () => {
  const span = fc.record({ from: fc.integer({ min: 0, max: 12 }), to: fc.integer({ min: 0, max: 12 }) });
  const some = fc.array(span, { maxLength: 5 });
  const isIn = (all: readonly Span[], moment: number) => all.filter((one) => holds(one, moment)).length;
  fc.assert(
    fc.property(some, some, (all, holes) => {
      for (let moment = 0; moment < 12; moment += 1) {
        const wanted = isIn(holes, moment) > 0 ? 0 : isIn(all, moment);
        expect(isIn(without(all, holes), moment)).toBe(wanted);
        expect(isIn(united(all), moment)).toBe(isIn(all, moment) > 0 ? 1 : 0);
      }
    }),
  );
});

describe('spans united', () => {
  test.each([
    ['5-10 0-3', '0-3 5-10'],
    ['0-5 5-10', '0-10'],
    ['0-10 2-4', '0-10'],
    ['0-4 2-8 7-9', '0-9'],
    ['3-3', ''],
  ])('%s are %s', (some, all) => expect(united(spans(some))).toEqual(spans(all)));
});
