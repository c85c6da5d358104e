import { z } from 'zod';
import { Line } from '../../platform/http/wire.ts';
import { PIECES } from '../../tables/stored-diagram.ts';

const Place = z.int().min(0).max(5000).meta({ description: 'Centimetres from the left, or from the top' });
const Size = z.int().min(5).max(5000).meta({ description: 'Centimetres' });
const point = { x: Place, y: Place };
const label = Line(40).nullable();

/** A set-up seen from above; a drill has one, or a station. */
export const Diagram = z
  .strictObject({
    title: Line(80),
    widthCm: z.int().min(50).max(5000),
    depthCm: z.int().min(50).max(5000),
    pieces: z
      .array(
        z
          .strictObject({
            piece: z.enum(PIECES),
            ...point,
            lengthCm: Size,
            widthCm: Size,
            turn: z.int().min(0).max(359).meta({ description: 'Degrees clockwise; 0: its length lies left to right' }),
            label,
          })
          .meta({
            id: 'DiagramPiece',
            description: 'Lies with its middle at `x`, `y`. A wedge’s high end is its left.',
          }),
      )
      .max(40),
    arrows: z
      .array(z.strictObject({ from: z.strictObject(point), to: z.strictObject(point), label }))
      .max(20)
      .meta({ description: 'Which way the children go' }),
    people: z.array(z.strictObject({ who: z.enum(['athlete', 'coach']), ...point, label })).max(30),
  })
  .refine(
    ({ widthCm, depthCm, pieces, arrows, people }) =>
      [...pieces, ...people, ...arrows.flatMap(({ from, to }) => [from, to])].every(
        ({ x, y }) => x <= widthCm && y <= depthCm,
      ),
    'Something lies outside: keep `x` within `widthCm`, and `y` within `depthCm`.',
  )
  .meta({ id: 'Diagram', description: 'A set-up seen from above, in centimetres from its upper left corner' });
export type Diagram = z.output<typeof Diagram>;
