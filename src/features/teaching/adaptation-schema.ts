import { z } from 'zod';
import { flag, GymRef, Id, Instant, PageQuery, page, Reason } from '../../platform/http/wire.ts';
import { ADAPTED_FOR } from '../../tables/teaching.ts';

export const AdaptationRef = GymRef.extend({ adaptationId: Id });

const Change = z
  .discriminatedUnion('kind', [
    z
      .strictObject({ kind: z.literal('drop-step'), step: z.int().min(1).max(20) })
      .meta({ id: 'DropStep', description: 'Leave out an if-time step, counted from 1' }),
    z
      .strictObject({ kind: z.literal('set-up'), piece: z.int().min(1).max(20), choice: z.int().min(1).max(4) })
      .meta({ id: 'UseInstead', description: 'Use what the plan allows instead of a piece, both counted from 1' }),
    z.strictObject({ kind: z.literal('drill'), drillId: Id }).meta({
      id: 'OtherDrill',
      description:
        'Another drill along the progressions or a height ladder: it takes the place of what it leads to, or follows from',
    }),
  ])
  .meta({ id: 'AdaptationChange' });

/** So many blocks are named, the others counted. */
export const MOST_BLOCKS = 500;

const adaptation = {
  per: z.enum(ADAPTED_FOR).meta({ description: 'For whom: everybody at the gym, a class, a session, or one block' }),
  unitId: Id.meta({ description: 'The gym, class, session or block' }),
  stationId: Id.meta({ description: 'Of the plan that is taught there' }),
  change: Change,
  reason: Reason,
};
export const NewAdaptation = z.strictObject(adaptation).meta({ id: 'NewAdaptation' });
export type NewAdaptation = z.output<typeof NewAdaptation>;

export const Adaptation = z
  .strictObject({
    id: Id,
    ...adaptation,
    direction: z.enum(['easier', 'harder']).nullable().meta({ description: 'Of another drill' }),
    blockIds: z
      .array(Id)
      .max(MOST_BLOCKS)
      .meta({ description: 'With another drill: the blocks ahead where it is done, the first of them by time' }),
    moreBlocks: z.int().min(0).max(2_147_483_647).meta({ description: 'How many blocks it is done in besides' }),
    laterToo: z.boolean().meta({
      description:
        'Do blocks that are laid out later have it too, those of a session if it is laid out anew? Not of one block, and no step up, nor a drill that has to be spotted where the plan asks for nobody: adapt again once they are laid out',
    }),
    createdAt: Instant,
    createdBy: Id.nullable(),
    undoneAt: Instant.nullable(),
  })
  .meta({ id: 'Adaptation', description: 'A station taught otherwise than its plan says; the plan stays as it is' });
export type Adaptation = z.output<typeof Adaptation>;
export const AdaptationPage = page(Adaptation, 'AdaptationPage');
export const AdaptationQuery = z.strictObject({
  ...PageQuery,
  stationId: Id.optional(),
  standing: flag.optional().meta({ description: 'Only what has not been taken back; false: only what has' }),
});
