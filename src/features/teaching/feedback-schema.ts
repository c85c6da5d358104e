import { z } from 'zod';
import { GymRef, Id, Instant, Line, Name, PageQuery, page } from '../../platform/http/wire.ts';
import { ANSWERS } from '../../tables/teaching.ts';

export const BlockRef = GymRef.extend({ blockId: Id });
export const FeedbackRef = z.strictObject({ feedbackId: Id });

const answer = z.enum(ANSWERS).meta({ description: 'One tap' });
const text = Line(300).nullable();
export const NewFeedback = z
  .strictObject({
    stations: z
      .array(z.strictObject({ stationId: Id, answer, line: text.default(null) }))
      .min(1)
      .max(12)
      .meta({ description: 'One or several of the block; a station answered again has the newer answer' }),
  })
  .meta({ id: 'NewFeedback' });
export type NewFeedback = z.output<typeof NewFeedback>;

export const Feedback = z
  .strictObject({
    id: Id,
    gymId: Id,
    blockId: Id,
    stationId: Id,
    station: Name,
    answer,
    line: text,
    by: z.strictObject({ accountId: Id, name: z.string().max(300).nullable() }),
    answeredAt: Instant,
    reply: Line(500).nullable(),
    repliedAt: Instant.nullable(),
  })
  .meta({ id: 'Feedback', description: 'How a station went in one block, as a coach says' });
export type Feedback = z.output<typeof Feedback>;
export const FeedbackPage = page(Feedback, 'FeedbackPage');
export const FeedbackQuery = z.strictObject({
  ...PageQuery,
  stationId: Id.optional(),
  answer: answer.optional(),
});
export const BlockFeedback = z.strictObject({ items: z.array(Feedback).max(1000) }).meta({ id: 'BlockFeedback' });

const count = z.int().min(0).max(1_000_000);
export const FeedbackSummary = z
  .strictObject({
    planId: Id,
    number: z.int().min(1),
    blocksTaught: count.meta({ description: 'Blocks of this version that have ended' }),
    stations: z
      .array(
        z.strictObject({
          stationId: Id,
          block: Name,
          station: Name,
          answers: z.strictObject({
            worked: count,
            'too-hard': count,
            'too-easy': count,
            'no-kit': count,
            unsure: count,
          }),
          done: count.meta({ description: 'Blocks in which it was ticked as done as planned' }),
          skipped: count,
          adapted: count,
          lines: count.meta({ description: 'How many said more in a line: see `listFeedback`' }),
          unreplied: count.meta({ description: 'Lines without a reply' }),
        }),
      )
      .max(240)
      .meta({ description: 'Those that did not work out most often first, then in the plan’s order' }),
  })
  .meta({ id: 'FeedbackSummary' });
export const NewReply = z.strictObject({ reply: Line(500) }).meta({ id: 'NewReply' });
