import type { Span } from '../cover/index.ts';

// Stretches of time as sets: half-open, in epoch milliseconds.

/** The part of a span that lies in another, itself where it is one of them; nothing where they do not meet. */
export function within(span: Span, other: Span): Span[] {
  const from = Math.max(span.from, other.from);
  const to = Math.min(span.to, other.to);
  if (from >= to) return [];
  if (from === other.from && to === other.to) return [other];
  return [from === span.from && to === span.to ? span : { from, to }];
}

/** What is left of some spans without the others; one that ends before it begins is none. */
export function without(spans: readonly Span[], holes: readonly Span[]): readonly Span[] {
  let left = spans.every(({ from, to }) => from < to) ? spans : spans.filter(({ from, to }) => from < to);
  for (const hole of holes) {
    if (hole.from < hole.to && left.some((span) => span.from < hole.to && hole.from < span.to)) left = cut(left, hole);
  }
  return left;
}

function cut(spans: readonly Span[], hole: Span): Span[] {
  const left: Span[] = [];
  for (const span of spans) {
    left.push(...within(span, { from: -Infinity, to: hole.from }), ...within(span, { from: hole.to, to: Infinity }));
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
