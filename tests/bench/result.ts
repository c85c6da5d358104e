/** One figure beside what it should be. */
export interface Figure {
  what: string;
  value: number;
  unit: 'ratio' | 'ms' | 'µs' | 'kB' | 's' | 'requests/s' | 'times';
  /** Null: told, and held against nothing. */
  target: { at: 'least' | 'most' | 'below'; value: number } | null;
}

/** What one measurement gives: its figures, and how they were come by, in a sentence or two. */
export interface Result {
  name: string;
  how: string;
  figures: Figure[];
}

/** Null where there is no target. */
export function isMet({ value, target }: Figure): boolean | null {
  if (target === null) return null;
  if (target.at === 'least') return value >= target.value;
  return target.at === 'most' ? value <= target.value : value < target.value;
}

const SIGNS = { least: '≥', most: '≤', below: '<' } as const;

const written = (value: number) =>
  value >= 1000 ? value.toFixed(0) : value >= 100 ? value.toFixed(1) : value.toFixed(value >= 10 ? 2 : 3);

/** A result as lines to read. */
export function inLines({ name, how, figures }: Result): string {
  const lines = figures.map((figure) => {
    const { what, value, unit, target } = figure;
    const asked = target === null ? '' : `${SIGNS[target.at]} ${target.value}`;
    const verdict = target === null ? '' : isMet(figure) ? 'met' : 'NOT MET';
    return `  ${what.padEnd(62)}${written(value).padStart(9)} ${unit.padEnd(11)}${asked.padEnd(9)}${verdict}`.trimEnd();
  });
  return [`${name}`, `  (${how})`, ...lines].join('\n');
}
