import { z } from 'zod';
import type { Test } from '../cover/types.ts';
import { Id, shownBy } from '../platform/http/wire.ts';

/** How far tests may stand inside one another. */
const DEEPEST = 4;
const MOST = 12;

const Years = z.int().min(0).max(120);
const Grade = z.int().min(1).max(20);

/**
 * The schema of a test of somebody on the staff, for people who write rules. Bounded in depth, so that no body can make
 * it recurse without end; the document shows one shape that stands inside itself.
 */
function testSchema(kind: z.ZodType<string, string>, id: string): z.ZodType<Test, Test> {
  const plain = [
    z.strictObject({ test: z.literal('age'), atLeastYears: Years }),
    z.strictObject({ test: z.literal('older-than-athletes'), byYears: Years }),
    z.strictObject({ test: z.literal('holds'), kind, grade: Grade }),
    z.strictObject({
      test: z.literal('duty'),
      in: z
        .array(z.enum(['lead', 'assist', 'shadow', 'oversee']))
        .min(1)
        .max(4),
    }),
    z.strictObject({ test: z.literal('not-taking-part') }),
    z.strictObject({ test: z.literal('no-own-child-here') }),
  ] as const;
  const noneOf = z.array(z.never()).max(0);
  const shownAs = (depth: number) => (depth === DEEPEST ? { id } : shownBy(id));
  let schema: z.ZodType<Test, Test> = z
    .discriminatedUnion('test', [...plain, z.strictObject({ test: z.enum(['all', 'any']), of: noneOf })])
    .meta(shownAs(0));
  for (let depth = 1; depth <= DEEPEST; depth += 1) {
    const inner = schema;
    schema = z
      .discriminatedUnion('test', [
        ...plain,
        z.strictObject({ test: z.literal('supervised'), by: inner }),
        z.strictObject({ test: z.enum(['all', 'any']), of: z.array(inner).max(MOST) }),
      ])
      .meta({
        ...shownAs(depth),
        description: 'Whom a rule means: `all` of nothing is anybody, `any` of nothing is nobody',
      });
  }
  return schema;
}

/** A test whose kinds of qualification are the franchise's, by id. */
export const TestSchema = testSchema(Id, 'Test');

/** A test whose kinds may be called anything: a published table's slots, the made-up floor of a trial. */
export const TestByName = testSchema(
  z.string().min(1).max(80).meta({ description: 'A kind of qualification: its id, or in a published table its slot' }),
  'TestByName',
);
