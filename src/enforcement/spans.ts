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
  if (holes.length === 0 && spans.every(({ from, to }) => from < to)) return spans;
  const inOrder = isInOrder(holes) ? holes : [...holes].sort((a, b) => a.from - b.from);
  const left: Span[] = [];
  for (const span of spans) {
    let { from } = span;
    for (const hole of inOrder) {
      if (hole.from >= span.to) break;
      if (hole.to <= from || hole.from >= hole.to) continue;
      if (hole.from > from) left.push({ from, to: hole.from });
      from = hole.to;
    }
    if (from < span.to) left.push(from === span.from ? span : { from, to: span.to });
  }
  return left;
}

const isInOrder = (spans: readonly Span[]) =>
  spans.every(({ from }, i) => i === 0 || (spans[i - 1]?.from ?? from) <= from);

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
