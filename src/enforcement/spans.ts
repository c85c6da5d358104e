import type { Span } from '../cover/index.ts';

// Stretches of time as sets: half-open, in epoch milliseconds.

/** The part of a span that lies in another; nothing where they do not meet. */
export function within(span: Span, other: Span): Span[] {
  const part = { from: Math.max(span.from, other.from), to: Math.min(span.to, other.to) };
  return part.from < part.to ? [part] : [];
}

/** What is left of some spans without the others; one that ends before it begins is none. */
export function without(spans: readonly Span[], holes: readonly Span[]): Span[] {
  let left = spans.filter(({ from, to }) => from < to);
  for (const hole of holes) {
    if (hole.from >= hole.to || !left.some((span) => span.from < hole.to && hole.from < span.to)) continue;
    left = left.flatMap((span) => [
      ...within(span, { from: -Infinity, to: hole.from }),
      ...within(span, { from: hole.to, to: Infinity }),
    ]);
  }
  return left;
}

/** The same time, in order, with no two that meet or touch. */
export function united(spans: readonly Span[]): Span[] {
  const all: Span[] = [];
  for (const span of [...spans].sort((a, b) => a.from - b.from)) {
    if (span.from >= span.to) continue;
    const last = all.at(-1);
    if (last && span.from <= last.to) last.to = Math.max(last.to, span.to);
    else all.push({ ...span });
  }
  return all;
}

export const holds = ({ from, to }: Span, moment: number): boolean => from <= moment && moment < to;
