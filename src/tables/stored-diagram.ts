/** What a piece in a diagram is. Each is drawn in its own way, which tells it apart without colour. */
export const PIECES = [
  'mat',
  'thick-mat',
  'wedge',
  'block',
  'beam',
  'bar',
  'springboard',
  'trampoline',
  'barrel',
  'cone',
] as const;

/**
 * A set-up seen from above. Everything is in whole centimetres from its upper left corner; a piece lies with its middle at
 * `x`, `y`, turned clockwise by so many degrees.
 */
export interface StoredDiagram {
  title: string;
  widthCm: number;
  depthCm: number;
  pieces: {
    piece: (typeof PIECES)[number];
    x: number;
    y: number;
    lengthCm: number;
    widthCm: number;
    turn: number;
    label: string | null;
  }[];
  arrows: { from: { x: number; y: number }; to: { x: number; y: number }; label: string | null }[];
  people: { who: 'athlete' | 'coach'; x: number; y: number; label: string | null }[];
}
