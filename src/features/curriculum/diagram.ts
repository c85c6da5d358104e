import { type Html, html } from '../../platform/http/html.ts';
import { boxOf, type Label, placeLabels } from './diagram-labels.ts';
import { NAMES, patterns, type Shape, shapeOf } from './diagram-pieces.ts';
import type { Diagram } from './diagram-schema.ts';

/** XML has no such characters at all: half of a pair is refused on the way in, these two are not. */
const inXml = (text: string) => text.replaceAll(/[\ufffe\uffff]/g, '\ufffd');

/** How high a set-up is, in millimetres, when it is drawn that wide with letters large enough to read. */
export function heightWhen(diagram: Diagram, widthMm: number): number {
  const { full } = frameOf(diagram, unitWhen(diagram, widthMm));
  return (widthMm * full.height) / full.width;
}

/** The unit with which letters are 7 points high on paper, or larger where the paper is. */
const unitWhen = ({ widthCm, depthCm }: Diagram, widthMm: number) =>
  Math.max((LETTERS_MM * widthCm) / (LETTERS * widthMm - 2 * MARGIN * LETTERS_MM), unitOf({ widthCm, depthCm }));

/** One unit for strokes and letters, so that a hall and a corner are as easy to read on the same paper. */
const unitOf = ({ widthCm, depthCm }: Pick<Diagram, 'widthCm' | 'depthCm'>) => Math.max(widthCm, depthCm * 1.4) / 100;

function frameOf({ widthCm: width, depthCm: depth, pieces }: Diagram, unit: number) {
  const margin = MARGIN * unit;
  const kinds = [...new Set(pieces.map(({ piece }) => piece))];
  const column = (LEGEND_SWATCH + LEGEND_LETTER * Math.max(0, ...kinds.map((kind) => NAMES[kind][0].length))) * unit;
  const perRow = Math.max(1, Math.floor((width + margin) / column));
  const height = depth + 2 * margin + (Math.ceil(kinds.length / perRow) + 1) * LEGEND_ROW * unit;
  return { margin, kinds, perRow, column, height, full: { width: width + 2 * margin, height } };
}

/**
 * A set-up seen from above, as an SVG document that needs no colour: every kind of piece has its own pattern, and a legend
 * beneath says which. Everything that was written is escaped; `title` and `desc` tell it to whoever cannot see it. Several
 * can stand in one page, each with an `id` of its own (letters and digits). For a small place on paper, `widthMm` says how
 * wide it will be there, so that its letters are large enough.
 */
export function drawDiagram(diagram: Diagram, id = 'diagram', widthMm: number | null = null): string {
  const { widthCm: width, depthCm: depth } = diagram;
  const unit = widthMm === null ? unitOf(diagram) : unitWhen(diagram, widthMm);
  const { margin, kinds, perRow, column, height, full } = frameOf(diagram, unit);
  const labels = placeLabels(wantedLabels(diagram, unit), { width, height: depth }, unit);
  // Twice, first as a white edge: not every reader of SVG knows paint-order.
  const written = labels.map((label) => textAt(label, unit));
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="${box(-margin, -margin, full.width, full.height)}" role="img" aria-labelledby="${id}-title ${id}-desc" font-family="sans-serif" fill="none" stroke="#000" stroke-width="${round(unit * 0.35)}" stroke-linejoin="round">
<title id="${id}-title">${inXml(diagram.title)}</title>
<desc id="${id}-desc">${inXml(described(diagram))}</desc>
<defs>${patterns(id, unit)}${arrowHead(id)}</defs>
<rect x="${round(-margin)}" y="${round(-margin)}" width="${round(full.width)}" height="${round(full.height)}" fill="#fff" stroke="none"/>
<rect x="0" y="0" width="${width}" height="${depth}" stroke="#777" stroke-dasharray="${round(unit)} ${round(unit)}" stroke-width="${round(unit * 0.2)}"/>
${inOrder(diagram).map((piece) => html`<g transform="translate(${piece.x} ${piece.y}) rotate(${piece.turn})">${shapeOf(piece, id, unit)}</g>\n`)}
${diagram.arrows.map(({ from, to }) => html`<line x1="${from.x}" y1="${from.y}" x2="${to.x}" y2="${to.y}" stroke-width="${round(unit * 0.6)}" marker-end="url(#${id}-head)"/>\n`)}
${diagram.people.map((one) => person(one, unit))}
<g font-size="${round(LETTERS * unit)}" text-anchor="middle">
<g fill="#fff" stroke="#fff" stroke-width="${round(unit * 0.6)}">${written}</g>
<g fill="#000" stroke="none">${written}</g></g>
${legend(kinds, { id, unit, perRow, column, top: depth + margin })}
${scaleBar(unit, { x: 0, y: height - margin - LEGEND_ROW * unit * 0.8 }, width)}
</svg>
`.markup;
}

const MARGIN = 3;
const LETTERS = 2.6;
/** Seven points. */
const LETTERS_MM = 2.47;
const LEGEND_ROW = 5;
const LEGEND_SWATCH = 7;
const LEGEND_LETTER = 1.5;

/** Two decimals are a tenth of a millimetre. */
const round = (value: number) => Math.round(value * 100) / 100;
const box = (...values: number[]) => values.map(round).join(' ');

/** What lies beneath comes first: mats, then what stands on them, the narrowest last. */
const inOrder = ({ pieces }: Diagram) =>
  [...pieces].sort((a, b) => Number(isMat(b)) - Number(isMat(a)) || b.lengthCm * b.widthCm - a.lengthCm * a.widthCm);
const isMat = ({ piece }: Shape) => piece === 'mat' || piece === 'thick-mat';

const arrowHead = (id: string) =>
  html`<marker id="${id}-head" viewBox="0 0 10 10" refX="9" refY="5" markerWidth="5" markerHeight="5" orient="auto"><path d="M0 0L10 5L0 10Z" fill="#000" stroke="none"/></marker>`;

/** A coach is a square, an athlete a disc: told apart without colour. */
function person({ who, x, y }: Diagram['people'][number], unit: number): Html {
  const size = round(unit * 1.5);
  return who === 'athlete'
    ? html`<circle cx="${x}" cy="${y}" r="${size}" fill="#000" stroke="#fff"/>\n`
    : html`<rect x="${round(x - size)}" y="${round(y - size)}" width="${2 * size}" height="${2 * size}" fill="#fff" stroke-width="${round(unit * 0.7)}"/>\n`;
}

function textAt({ lines, x, y }: Label, unit: number): Html {
  const step = LETTERS * unit * 1.15;
  const first = y - (step * (lines.length - 1)) / 2 + LETTERS * unit * 0.35;
  return html`${lines.map((line, at) => html`<text x="${round(x)}" y="${round(first + at * step)}">${inXml(line)}</text>\n`)}`;
}

/** What wants a label, and what no label of something else may cover: people, arrowheads, and whatever is not a mat. */
function wantedLabels({ pieces, arrows, people }: Diagram, unit: number) {
  const dot = 3.4 * unit;
  return [
    ...pieces.map((piece) => ({ label: piece.label, of: boxOf(piece), solid: !isMat(piece), onIt: true })),
    ...people.map(({ label, x, y }) => ({ label, of: { x, y, width: dot, height: dot }, solid: true, onIt: false })),
    ...arrows.map(({ label, from, to }) => ({ label, of: middleOf(from, to), solid: false, onIt: false })),
    ...arrows.map(({ to: { x, y } }) => ({
      label: null,
      of: { x, y, width: dot, height: dot },
      solid: true,
      onIt: false,
    })),
  ];
}

const middleOf = (from: { x: number; y: number }, to: { x: number; y: number }) => ({
  x: (from.x + to.x) / 2,
  y: (from.y + to.y) / 2,
  width: 0,
  height: 0,
});

function legend(
  kinds: Shape['piece'][],
  { id, unit, perRow, column, top }: { id: string; unit: number; perRow: number; column: number; top: number },
): Html {
  return html`<g font-size="${round(LETTERS * unit)}">
${kinds.map((piece, at) => {
  const x = (at % perRow) * column;
  const y = top + (Math.floor(at / perRow) + 0.5) * LEGEND_ROW * unit;
  const swatch = { piece, x, y, turn: 0, lengthCm: 5 * unit, widthCm: piece === 'beam' ? unit : 3 * unit };
  return html`<g transform="translate(${round(x + 2.5 * unit)} ${round(y)})">${shapeOf(swatch, id, unit)}</g><text x="${round(x + 6 * unit)}" y="${round(y + LETTERS * unit * 0.35)}" fill="#000" stroke="none">${NAMES[piece][0]}</text>\n`;
})}</g>`;
}

/** A metre, or half of one where a metre would not fit. */
function scaleBar(unit: number, { x, y }: { x: number; y: number }, width: number): Html {
  const [length, said] = width >= 150 ? [100, '1 m'] : [50, '50 cm'];
  const tick = round(unit * 0.8);
  return html`<path d="M${x} ${round(y - tick)}V${round(y + tick)}M${x} ${round(y)}H${x + length}M${x + length} ${round(y - tick)}V${round(y + tick)}"/><text x="${round(x + length + 1.5 * unit)}" y="${round(y + LETTERS * unit * 0.35)}" font-size="${round(LETTERS * unit)}" fill="#000" stroke="none">${said}</text>`;
}

const counted = (count: number, [one, many]: readonly [string, string]) => `${count} ${count === 1 ? one : many}`;

/** The picture in words: what is there, how many, and what is written on it. */
export function described({ widthCm, depthCm, pieces, arrows, people }: Diagram): string {
  const kinds = [...new Set(pieces.map(({ piece }) => piece))];
  const athletes = people.filter(({ who }) => who === 'athlete').length;
  const parts = [
    ...kinds.map((kind) => {
      const those = pieces.filter(({ piece }) => piece === kind);
      const said = those.flatMap(({ label }) => (label === null ? [] : [label]));
      return counted(those.length, NAMES[kind]) + (said.length > 0 ? ` (${said.join('; ')})` : '');
    }),
    ...(athletes > 0 ? [counted(athletes, ['athlete', 'athletes'])] : []),
    ...(people.length > athletes ? [counted(people.length - athletes, ['coach', 'coaches'])] : []),
    ...(arrows.length > 0 ? [counted(arrows.length, ['arrow', 'arrows'])] : []),
  ];
  return `Seen from above, ${widthCm} by ${depthCm} cm: ${parts.length > 0 ? parts.join(', ') : 'nothing yet'}.`;
}
