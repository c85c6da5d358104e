import { describe, expect, test } from 'vitest';
import { heightOf, SETTINGS, settingFor } from './sheet-fit.ts';
import type { Detail, Words } from './sheet-words.ts';

const words = (stations: number, lines: number, detail: Detail = 'all'): Words => ({
  title: 'Monday tumblers',
  when: 'Monday 14 September 2026',
  about: ['Gym 1'],
  loud: [],
  boxes: Array.from({ length: stations }, (_, at) => ({
    kind: 'station',
    title: `Station ${at + 1}`,
    lines: Array.from({ length: detail === 'all' ? lines : lines / 2 }, () => ({
      label: 'Say first',
      text: 'One at a time; wait behind the cone until the mat is clear.',
      loud: false,
    })),
  })),
  leftOut: null,
});

describe('how a sheet is set', () => {
  test('with little to say, large and whole', () => {
    expect(settingFor((detail) => words(4, 6, detail)).setting).toEqual(SETTINGS[0]);
  });

  test('with more, smaller before anything is left out, and then less', () => {
    const settings = [4, 12, 20, 30, 60].map((stations) => settingFor((detail) => words(stations, 12, detail)).setting);
    const places = settings.map((setting) => SETTINGS.indexOf(setting));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(new Set(places).size).toBeGreaterThan(2);
  });

  test('with more than any page holds, the smallest', () => {
    expect(settingFor((detail) => words(500, 20, detail)).setting).toEqual(SETTINGS.at(-1));
  });

  test('more words never take less room', () => {
    const [setting] = SETTINGS;
    if (!setting) throw new Error('there are settings');
    const heights = [1, 2, 4, 8, 16].map((stations) => heightOf(words(stations, 10), setting));
    expect(heights).toEqual([...heights].sort((a, b) => a - b));
  });
});
