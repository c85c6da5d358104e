import { z } from 'zod';

export const PlanDifference = z
  .strictObject({
    kind: z.enum(['added', 'removed', 'moved', 'changed']),
    what: z.enum(['focus', 'block', 'station', 'piece', 'step']),
    field: z.string().max(40).nullable().meta({ description: 'What changed of it' }),
    pointer: z.string().max(400).meta({
      description: 'JSON Pointer into the newer content; of what was removed, into the older',
      example: '/blocks/1/minutes',
    }),
    sentence: z.string().max(8000).meta({ example: '“Bars”: the time is 20 min now; it was 15 min.' }),
  })
  .meta({ id: 'PlanDifference' });
