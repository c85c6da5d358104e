import { z } from 'zod';

// What travels: the base schemas that every feature builds on, bounded once and here.

/** An identifier; made by the service. */
export const Id = z
  .uuid()
  .toLowerCase()
  .meta({ id: 'Id', description: 'UUID', example: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11' });

/** The gym in a path. */
export const GymRef = z.strictObject({ gymId: Id });

export const Email = z.email('Expected an e-mail address such as "someone@example.org".').max(254).toLowerCase().meta({
  id: 'Email',
  description: 'An e-mail address; upper and lower case are the same',
  example: 'ann@example.org',
});

const YEARS = /^(19|20|21)\d\d-/;

/** A moment with its offset (RFC 3339), from 1900 to 2199. */
export const Instant = z.iso
  .datetime({
    offset: true,
    abort: true,
    error: 'Expected a moment with its offset, such as "2026-09-01T17:00:00Z" (RFC 3339).',
  })
  .max(40)
  .regex(YEARS, 'Expected a year from 1900 to 2199.')
  .meta({ id: 'Instant', format: 'date-time', description: 'RFC 3339, with offset', example: '2026-09-01T17:00:00Z' });

/** A calendar day in the gym's zone, from 1900 to 2199. */
export const Day = z.iso
  .date({ abort: true, error: 'Expected a day that exists, such as "2026-09-01".' })
  .max(10)
  .regex(YEARS, 'Expected a year from 1900 to 2199.')
  .meta({ id: 'Day', format: 'date', description: 'ISO 8601 date in the gym’s zone', example: '2026-09-01' });

/** Wall time in the gym's zone, to the minute. */
export const WallTime = z
  .string()
  .max(5)
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'Expected a time from "00:00" to "23:59".')
  .meta({ id: 'WallTime', example: '17:00' });

// Each of these looks at a character once: a text of any length is judged in time that grows with it and no faster.
// biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is refused
const ONE_LINE = /^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]*$/;
// biome-ignore lint/suspicious/noControlCharactersInRegex: PostgreSQL's text cannot hold it
const NO_NUL = /^[^\u0000]*$/;
/** Half of a character in UTF-16: JSON can write it, PostgreSQL's jsonb cannot hold it. */
const HALF = /\p{Surrogate}/u;
const isWhole = (text: string) => !HALF.test(text);
const WHOLE = 'Expected whole characters: one is cut in half.';

/** What is seen: no blank, no control or format character, no filler, no mark that stands on another character. */
const SEEN = /[^\p{Z}\p{Cc}\p{Cf}\p{Cs}\p{M}\p{Default_Ignorable_Code_Point}\u2800]/u;
const isSeen = (text: string) => SEEN.test(text);
const BLANK = 'Expected text that is not blank.';
/**
 * Embeddings, overrides and isolates: left open, they turn round whatever a page writes after the line. Names in scripts
 * from right to left need none; single marks of direction and joiners stay.
 */
const TURNING = /[\u202a-\u202e\u2066-\u2069]/;
const isStraight = (text: string) => !TURNING.test(text);
const TURNED =
  'Expected a line without characters that turn the direction of what follows (U+202A to U+202E, U+2066 to U+2069).';

/** One line of text that says something. */
export const Line = (most: number) =>
  z
    .string()
    .min(1)
    .max(most)
    .regex(ONE_LINE, 'Expected one line of text, without control characters.')
    .refine(isSeen, BLANK)
    .refine(isStraight, TURNED)
    .refine(isWhole, WHOLE);

/** Text of several lines; may be empty. */
export const Text = (most: number) =>
  z.string().max(most).regex(NO_NUL, 'Expected text without the NUL character.').refine(isWhole, WHOLE);

/** Text of several lines that says something. */
export const Words = (most: number) => Text(most).refine(isSeen, BLANK);

/** Which schemas are text in the reader's language (true), and which keep the language they were stored in (false). */
export const inReadersLanguage = z.registry<{ readers: boolean }>();

/** What cover says to people. */
export const Sentence = z
  .string()
  .max(2000)
  .meta({ description: 'Plain words in the reader’s language; for people, never to be parsed' })
  .register(inReadersLanguage, { readers: true });

export const Name = Line(120);
export const Reason = Line(500).meta({ description: 'Why; kept on record' });
export const Revision = z
  .int()
  .min(1)
  .max(2_147_483_647)
  .meta({ description: 'Counts the writes; its ETag is "r" and this number' });

/** Half-open: `until` is the first day that is out; null is open. */
export const daySpan = { from: Day, until: Day.nullable() };

/** Which grade of a kind of qualification; 1 is the first. */
export const Grade = z.int().min(1).max(20);

/** An exact fraction that was worked out. What is chosen (`Ratio`, `CountsAs`, a rule's numbers) is bounded so that it fits. */
export const Fraction = z
  .string()
  .max(200)
  .regex(/^\d{1,99}(\/[1-9]\d{0,98})?$/, 'Expected an exact fraction such as "8", "3/2".')
  .meta({ id: 'Fraction', description: 'An exact fraction', example: '3/2' });

/** An exact fraction that somebody chooses: a ratio, a share. */
export const Ratio = z
  .string()
  .max(9)
  .regex(/^\d{1,4}(\/[1-9]\d{0,3})?$/, 'Expected an exact fraction such as "8", "3/2", of numbers up to 9999.')
  .meta({ id: 'Ratio', description: 'An exact fraction of numbers up to 9999', example: '3/2' });

/** How many heads somebody counts as. Its parts are small, so that the sum over any number of athletes stays short. */
export const CountsAs = z
  .string()
  .max(7)
  .regex(/^\d{1,4}(\/([1-9]|1\d|20))?$/, 'Expected an exact fraction such as "2", "3/2", of at most twentieths.')
  .meta({ id: 'CountsAs', description: 'An exact fraction of heads, of at most twentieths', example: '3/2' });

/** A list, paged: `next` is the cursor of the following page, null on the last. */
export const page = <T extends z.ZodType>(item: T, id: string) =>
  z
    .strictObject({
      items: z.array(item).max(200),
      next: z
        .string()
        .max(400)
        .nullable()
        .meta({ description: 'Send as `cursor` for the next page; null on the last' }),
    })
    .meta({ id });

/** A whole number in a path or a query, where everything is text: digits and nothing else. The document shows a number. */
export const whole = (least: number, most: number) =>
  z
    .string()
    .max(9)
    .regex(/^\d+$/, 'Expected a whole number in digits, such as "20".')
    .transform(Number)
    .pipe(z.int().min(least).max(most))
    .meta({
      override: ({ jsonSchema }: { jsonSchema: Record<string, unknown> }) => {
        for (const keyword of ['maxLength', 'pattern']) delete jsonSchema[keyword];
        Object.assign(jsonSchema, { type: 'integer', format: 'int32', minimum: least, maximum: most });
      },
    });

/** The same, and what it is when left out. */
export const wholeOr = (otherwise: number, least: number, most: number) =>
  whole(least, most)
    .prefault(`${otherwise}`)
    .meta({
      override: ({ jsonSchema }: { jsonSchema: Record<string, unknown> }) => {
        jsonSchema.default = otherwise;
      },
    });

export const PageQuery = {
  limit: wholeOr(50, 1, 200).meta({ description: 'How many at the most' }),
  cursor: z
    .string()
    .max(400)
    .regex(/^[\w-]*$/, 'Send the `next` of the page before, unchanged, or leave it out.')
    .optional()
    .meta({ description: 'Where the page before ended: its `next`' }),
};

/** Query parameters of one feature beside the paging. */
export const flag = z.enum(['true', 'false']).transform((value) => value === 'true');

export const instantOf = (moment: Date): string => moment.toISOString();
export const maybeInstant = (moment: Date | null): string | null => (moment === null ? null : moment.toISOString());

/** Metadata of a schema that the document shows by a reference to the one of that name. */
export const shownBy = (id: string) => ({
  override: ({ jsonSchema }: { jsonSchema: Record<string, unknown> }) => {
    for (const keyword of Object.keys(jsonSchema)) delete jsonSchema[keyword];
    jsonSchema.$ref = `#/components/schemas/${id}`;
  },
});
