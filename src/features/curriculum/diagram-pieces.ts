import { type Html, html } from '../../platform/http/html.ts';
import type { PIECES } from '../../tables/stored-diagram.ts';

type Piece = (typeof PIECES)[number];

/** What a piece is called, one and several of it. */
export const NAMES: Record<Piece, readonly [string, string]> = {
  mat: ['mat', 'mats'],
  'thick-mat': ['thick mat', 'thick mats'],
  wedge: ['wedge', 'wedges'],
  block: ['block', 'blocks'],
  beam: ['beam', 'beams'],
  bar: ['bar', 'bars'],
  springboard: ['springboard', 'springboards'],
  trampoline: ['trampoline', 'trampolines'],
  barrel: ['barrel', 'barrels'],
  cone: ['cone', 'cones'],
};

export interface Shape {
  piece: Piece;
  x: number;
  y: number;
  lengthCm: number;
  widthCm: number;
  turn: number;
}

const round = (value: number) => Math.round(value * 100) / 100;

/** Patterns that survive a photocopier: dots, slanting lines, a net. */
export function patterns(id: string, unit: number): Html {
  const thin = round(unit * 0.15);
  const size = round(unit * 1.6);
  const half = round(unit * 0.8);
  const box = html`patternUnits="userSpaceOnUse" width="${size}" height="${size}"`;
  return html`<pattern id="${id}-dots" ${box}><circle cx="${half}" cy="${half}" r="${round(unit * 0.2)}" fill="#000" stroke="none"/></pattern>
<pattern id="${id}-slant" ${box} patternTransform="rotate(45)"><path d="M0 0V${size}" stroke-width="${thin}"/></pattern>
<pattern id="${id}-net" ${box}><path d="M0 0H${size}M0 0V${size}" stroke-width="${thin}"/></pattern>`;
}

/** A piece about its own middle, its length from left to right. */
export function shapeOf({ piece, lengthCm, widthCm }: Shape, id: string, unit: number): Html {
  const [left, top] = [round(-lengthCm / 2), round(-widthCm / 2)];
  const [right, bottom] = [round(lengthCm / 2), round(widthCm / 2)];
  const size = html`x="${left}" y="${top}" width="${round(lengthCm)}" height="${round(widthCm)}"`;
  const white = html`<rect ${size} fill="#fff"/>`;
  const filled = (pattern: string) => html`${white}<rect ${size} fill="url(#${id}-${pattern})"/>`;
  switch (piece) {
    case 'mat':
      return white;
    case 'thick-mat':
      return filled('dots');
    case 'block':
      return filled('slant');
    case 'trampoline': {
      const rim = round(Math.min(lengthCm, widthCm) * 0.12);
      return html`${white}<rect x="${left + rim}" y="${top + rim}" width="${round(lengthCm - 2 * rim)}" height="${round(widthCm - 2 * rim)}" fill="url(#${id}-net)"/>`;
    }
    case 'wedge': {
      // The lines stand closer where it is higher; the thick edge is its high end.
      const lines = [0.08, 0.18, 0.3, 0.45, 0.65].map((share) => `M${round(left + lengthCm * share)} ${top}V${bottom}`);
      return html`${white}<path d="${lines.join('')}" stroke-width="${round(unit * 0.2)}"/><path d="M${left} ${top}V${bottom}" stroke-width="${round(unit * 0.9)}"/>`;
    }
    case 'beam':
      return html`<rect ${size} fill="#555"/>`;
    case 'bar': {
      const foot = round(unit * 1.2);
      const long = round(Math.max(foot, widthCm / 2));
      return html`<path d="M${left} 0H${right}" stroke-width="${round(unit * 0.8)}"/><rect x="${round(left - foot / 2)}" y="${-long}" width="${foot}" height="${2 * long}" fill="#000"/><rect x="${round(right - foot / 2)}" y="${-long}" width="${foot}" height="${2 * long}" fill="#000"/>`;
    }
    case 'springboard':
      return html`${white}<path d="M${round(left + lengthCm * 0.3)} ${top}L${round(left + lengthCm * 0.6)} 0L${round(left + lengthCm * 0.3)} ${bottom}M${round(left + lengthCm * 0.55)} ${top}L${round(left + lengthCm * 0.85)} 0L${round(left + lengthCm * 0.55)} ${bottom}"/>`;
    case 'barrel': {
      const end = round(Math.min(lengthCm * 0.2, widthCm / 2));
      return html`<rect ${size} rx="${end}" fill="#fff"/><path d="M${round(left + end)} ${top}V${bottom}M${round(right - end)} ${top}V${bottom}M${round(left + end)} 0H${round(right - end)}" stroke-width="${round(unit * 0.2)}"/>`;
    }
    case 'cone': {
      const radius = round(Math.max(unit, Math.min(lengthCm, widthCm) / 2));
      return html`<circle r="${radius}" fill="#fff"/><circle r="${round(radius / 3)}" fill="#000"/>`;
    }
  }
}
