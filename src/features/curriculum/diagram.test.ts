import fc from 'fast-check';
import { SaxesParser } from 'saxes';
import { describe, expect, test } from 'vitest';
import { PIECES } from '../../tables/stored-diagram.ts';
import { described, drawDiagram, heightWhen } from './diagram.ts';
import { boxOf, placeLabels } from './diagram-labels.ts';
import { Diagram } from './diagram-schema.ts';

const piece = (more: Partial<Diagram['pieces'][number]> = {}): Diagram['pieces'][number] => ({
  piece: 'mat',
  x: 200,
  y: 100,
  lengthCm: 200,
  widthCm: 100,
  turn: 0,
  label: null,
  ...more,
});
const aDiagram = (more: Partial<Diagram> = {}): Diagram => ({
  title: 'Rolls down the wedge',
  widthCm: 400,
  depthCm: 200,
  pieces: [],
  arrows: [],
  people: [],
  ...more,
});

/** Read by a strict XML parser that is not ours: throws where the document is not well formed. */
function read(svg: string) {
  const texts: string[] = [];
  const elements: { name: string; attributes: Record<string, string> }[] = [];
  const parser = new SaxesParser();
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('text', (text) => void texts.push(text));
  parser.on('opentag', ({ name, attributes }) => void elements.push({ name, attributes }));
  parser.write(svg).close();
  return { texts, elements };
}

const text = (most: number) =>
  fc
    .string({ unit: 'binary', minLength: 1, maxLength: most })
    .filter((one) => Diagram.shape.title.safeParse(one).success && one.length <= most);
const label = fc.option(text(40), { nil: null });
const within = { x: fc.integer({ min: 0, max: 300 }), y: fc.integer({ min: 0, max: 300 }) };
const size = fc.integer({ min: 5, max: 5000 });
const anyDiagram: fc.Arbitrary<Diagram> = fc.record({
  title: text(80),
  widthCm: fc.integer({ min: 300, max: 5000 }),
  depthCm: fc.integer({ min: 300, max: 5000 }),
  pieces: fc.array(
    fc.record({
      piece: fc.constantFrom(...PIECES),
      ...within,
      lengthCm: size,
      widthCm: size,
      turn: fc.integer({ min: 0, max: 359 }),
      label,
    }),
    { maxLength: 8 },
  ),
  arrows: fc.array(fc.record({ from: fc.record(within), to: fc.record(within), label }), { maxLength: 3 }),
  people: fc.array(fc.record({ who: fc.constantFrom('athlete', 'coach'), ...within, label }), { maxLength: 4 }),
});

test('whatever is described and written on it, the drawing is well-formed XML, and holds nothing that runs or is fetched', () => {
  fc.assert(
    fc.property(anyDiagram, (diagram) => {
      const svg = drawDiagram(diagram);
      const { elements } = read(svg);
      expect([...new Set(elements.map(({ name }) => name))].filter((name) => !HARMLESS.includes(name))).toEqual([]);
      const attributes = elements.flatMap((one) => Object.entries(one.attributes));
      expect(attributes.filter(([name]) => /^on|href|style/i.test(name))).toEqual([]);
      expect(attributes.filter(([, value]) => /NaN|Infinity|undefined/.test(value))).toEqual([]);
      expect(drawDiagram(diagram)).toBe(svg);
    }),
  );
});
const HARMLESS = 'svg title desc defs pattern marker path circle rect line g text'.split(' ');

test('what is written on it is escaped', () => {
  const nasty = '</text><script>alert("1")</script>&';
  const { texts, elements } = read(
    drawDiagram(aDiagram({ title: nasty, pieces: [piece({ label: nasty })], people: [] })),
  );
  expect(elements.map(({ name }) => name)).not.toContain('script');
  expect(texts).toContain(nasty);
});

test('it says what it shows to whoever cannot see it, and scales to its paper', () => {
  const diagram = aDiagram({
    pieces: [piece({ label: 'landing' }), piece({ piece: 'wedge' }), piece({ piece: 'wedge', label: 'low' })],
    people: [
      { who: 'athlete', x: 10, y: 10, label: null },
      { who: 'coach', x: 20, y: 20, label: 'spotter' },
    ],
    arrows: [{ from: { x: 0, y: 0 }, to: { x: 9, y: 9 }, label: null }],
  });
  const said = 'Seen from above, 400 by 200 cm: 1 mat (landing), 2 wedges (low), 1 athlete, 1 coach, 1 arrow.';
  expect(described(diagram)).toBe(said);
  expect(described(aDiagram())).toBe('Seen from above, 400 by 200 cm: nothing yet.');
  const { texts, elements } = read(drawDiagram(diagram, 'station1'));
  const [svg] = elements;
  expect(svg?.attributes).toMatchObject({ role: 'img', 'aria-labelledby': 'station1-title station1-desc' });
  expect(svg?.attributes.viewBox).toMatch(/^-?[\d.]+ -?[\d.]+ [\d.]+ [\d.]+$/);
  expect(svg?.attributes.width).toBeUndefined();
  expect(texts).toEqual(expect.arrayContaining([diagram.title, said]));
});

test('it needs no colour: only black, white and grey, and every kind of piece drawn in its own way and named', () => {
  const drawings = PIECES.map((kind) => drawDiagram(aDiagram({ pieces: [piece({ piece: kind })] })));
  const shapes = drawings.map((svg) => /<g transform="translate\(200 100\) rotate\(0\)">(.*)<\/g>/.exec(svg)?.[1]);
  expect(new Set(shapes).size).toBe(PIECES.length);
  for (const [at, svg] of drawings.entries()) {
    const { texts } = read(svg);
    expect(texts).toContain(PIECES[at]?.replace('-', ' '));
    const colours = [...svg.matchAll(/(?:fill|stroke)="([^"]*)"/g)].map(([, colour]) => colour);
    expect(colours.filter((colour) => !/^(none|#000|#fff|#555|#777|url\(#diagram-\w+\))$/.test(colour ?? ''))).toEqual(
      [],
    );
  }
});

test.each([30, 46, 180])(
  '%i mm wide on paper, its letters are 7 points high or more, and it is as high as it says',
  (widthMm) => {
    for (const [widthCm, depthCm] of [
      [600, 300],
      [300, 900],
      [1200, 1200],
    ] as const) {
      const diagram = aDiagram({
        widthCm,
        depthCm,
        pieces: [piece({ label: 'landing' }), piece({ piece: 'trampoline' })],
      });
      const svg = drawDiagram(diagram, 'small', widthMm);
      const [, , width = 0, height = 0] = /viewBox="([^"]*)"/.exec(svg)?.[1]?.split(' ').map(Number) ?? [];
      const letters = [...svg.matchAll(/font-size="([^"]*)"/g)].map(([, size]) => Number(size) * (widthMm / width));
      expect(letters.length).toBeGreaterThan(0);
      expect(Math.min(...letters) * (72 / 25.4)).toBeGreaterThan(6.99);
      expect(heightWhen(diagram, widthMm)).toBeCloseTo((height * widthMm) / width, 1);
    }
  },
);

test('what lies beneath is drawn first', () => {
  const beam = piece({ piece: 'beam', lengthCm: 300, widthCm: 10, x: 101 });
  const svg = drawDiagram(aDiagram({ pieces: [beam, piece({ x: 102 })] }));
  expect(svg.indexOf('translate(102 ')).toBeLessThan(svg.indexOf('translate(101 '));
});

describe('labels', () => {
  const field = { width: 400, height: 300 };
  const unit = 4;
  const thing = (label: string, x: number, y: number, width = 40, height = 40) => ({
    label,
    of: { x, y, width, height },
    solid: true,
    onIt: true,
  });
  const apart = (labels: ReturnType<typeof placeLabels>) =>
    labels.every((a, at) =>
      labels
        .slice(at + 1)
        .every((b) => Math.abs(a.x - b.x) * 2 >= a.width + b.width || Math.abs(a.y - b.y) * 2 >= a.height + b.height),
    );

  test('lie on what they belong to where they fit', () => {
    const [label] = placeLabels([thing('mat', 200, 100, 200, 100)], field, unit);
    expect(label).toMatchObject({ x: 200, y: 100, lines: ['mat'] });
  });

  test('keep clear of one another and within the field', () => {
    const things = [
      thing('first on the left', 60, 40),
      thing('second beside it', 110, 40),
      thing('in the corner', 390, 290),
    ];
    const labels = placeLabels(things, field, unit);
    expect(labels).toHaveLength(3);
    expect(apart(labels)).toBe(true);
    for (const { x, y, width, height } of labels) {
      expect([x - width / 2 >= 0, x + width / 2 <= 400, y - height / 2 >= 0, y + height / 2 <= 300]).toEqual([
        true,
        true,
        true,
        true,
      ]);
    }
  });

  test('break between words', () => {
    const [long] = placeLabels([thing('Sicherheitsweichbodenmatte', 200, 100)], field, unit);
    expect(long?.lines).toEqual(['Sicherheitsweichbo', 'denmatte']);
    const [label] = placeLabels([thing('a barrel as high as a shoulder', 200, 100)], field, unit);
    expect(label?.lines).toEqual(['a barrel as high', 'as a shoulder']);
  });

  test('know how much room a turned piece takes', () => {
    const box = boxOf({ x: 1, y: 2, lengthCm: 200, widthCm: 50, turn: 90 });
    expect([box.x, box.y, Math.round(box.width), Math.round(box.height)]).toEqual([1, 2, 50, 200]);
  });
});

test('nothing lies outside the field', () => {
  const pointers = (more: Partial<Diagram>) => Diagram.safeParse(aDiagram(more)).success;
  expect(pointers({ pieces: [piece({ x: 400, y: 200 })] })).toBe(true);
  expect(pointers({ pieces: [piece({ x: 401 })] })).toBe(false);
  expect(pointers({ people: [{ who: 'coach', x: 0, y: 201, label: null }] })).toBe(false);
  expect(pointers({ arrows: [{ from: { x: 0, y: 0 }, to: { x: 0, y: 201 }, label: null }] })).toBe(false);
});
