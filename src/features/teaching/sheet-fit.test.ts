import { describe, expect, test } from 'vitest';
import { boxHeight, columnsOf, layOut, SETTINGS, SMALLEST_POINTS } from './sheet-fit.ts';
import { LESSER } from './sheet-lesser.ts';
import { type Box, line, type Words } from './sheet-words.ts';

const box = (at: number, lines: number): Box => ({
  kind: at % 6 === 0 ? 'part' : 'station',
  title: `Station ${at + 1}`,
  lines: Array.from({ length: lines }, () =>
    line('Say first', 'One at a time; wait behind the cone until the mat is clear.'),
  ),
  drawing: null,
});
/** So many boxes of so many lines, fewer the more is left out. */
const words = (boxes: number, lines: number, without = 0): Words => ({
  title: 'Monday tumblers',
  when: 'Monday 14 September 2026',
  about: ['Gym 1'],
  loud: [],
  boxes: Array.from({ length: boxes }, (_, at) => box(at, Math.max(1, lines - without))),
  leftOut: null,
});

describe('how a sheet is set', () => {
  test('with little to say, large and whole', () => {
    const { setting, pages } = layOut((without) => words(4, 6, without));
    expect([setting, pages.length]).toEqual([SETTINGS[0], 1]);
  });

  test('with more, first smaller, then with less, and never under 7 points', () => {
    const layouts = [4, 9, 13, 17, 20].map((boxes) => layOut((without) => words(boxes, 12, without)));
    const places = layouts.map(({ setting }) => SETTINGS.indexOf(setting));
    expect(layouts.map(({ pages }) => pages.length)).toEqual([1, 1, 1, 1, 1]);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(new Set(places).size).toBeGreaterThan(2);
    expect(Math.min(...SETTINGS.map(({ points }) => points))).toBe(SMALLEST_POINTS);
    expect(SETTINGS.map(({ without }) => without)).toEqual(
      SETTINGS.map(({ without }) => without).sort((a, b) => a - b),
    );
    expect(SETTINGS.at(-1)?.without).toBe(LESSER.length);
  });

  test('with more than a page holds, on more pages, each box once and in order, no part apart from its first station', () => {
    const { pages } = layOut((without) => words(120, 10, without));
    expect(pages.length).toBeGreaterThan(1);
    const titles = pages.flat().map(({ title }) => title);
    expect(titles).toEqual(words(120, 1).boxes.map(({ title }) => title));
    expect(pages.map((boxes) => boxes.at(-1)?.kind)).not.toContain('part');
  });

  test('nothing to say is one page too', () => {
    expect(layOut(() => words(0, 0)).pages).toEqual([[]]);
  });

  test.each(SETTINGS.map((setting) => [setting]))('columns as low as they can be, in order: %o', (setting) => {
    const { boxes } = words(17, 7);
    const columns = columnsOf(boxes, setting);
    expect(columns.flat()).toEqual(boxes);
    expect(columns.length).toBeLessThanOrEqual(setting.columns);
    const heights = columns.map((column) => column.reduce((sum, one) => sum + boxHeight(one, setting), 0));
    const total = heights.reduce((sum, height) => sum + height, 0);
    const highest = Math.max(...boxes.map((one) => boxHeight(one, setting)));
    expect(Math.max(...heights)).toBeLessThanOrEqual(total / setting.columns + 2 * highest);
  });

  test('more words never take less room', () => {
    for (const setting of SETTINGS) {
      const heights = [1, 2, 4, 8, 16].map((lines) => boxHeight(box(1, lines), setting));
      expect(heights).toEqual([...heights].sort((a, b) => a - b));
    }
  });
});
