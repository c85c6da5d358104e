import { z } from 'zod';
import type { Cast } from './cast.ts';
import type { ClassNow } from './class-now.ts';
import { coachName, type Hall } from './hall.ts';
import { post } from './player.ts';

const BoardBlock = z.object({
  blockId: z.string(),
  state: z.string(),
  covered: z.boolean(),
  present: z.number(),
  needed: z.number(),
  counted: z.string(),
  findings: z.array(z.object({ sentence: z.string() })),
});
type BoardBlock = z.output<typeof BoardBlock>;
const Board = z.object({
  at: z.string(),
  sessions: z.array(z.object({ blocks: z.array(BoardBlock) })),
  ahead: z.array(z.object({ sentence: z.string() })),
});
const Left = z.object({ state: z.literal('away') });
const Assigned = z.object({ assignment: z.object({ id: z.string() }) });

/** The live board, pushed: a coach leaves and the block that runs is short; a floater is sent and it is covered. */
export async function playBoard({ manager, desk }: Cast, { coach }: Hall, now: ClassNow): Promise<void> {
  const { gymId, blocks } = now;
  const blockId = blocks[0]?.id;
  const running = (fits: (block: BoardBlock) => boolean) => (board: unknown) => {
    const read = Board.safeParse(board);
    const block = read.data?.sessions.flatMap((one) => one.blocks).find((one) => one.blockId === blockId);
    return read.data && block?.state === 'running' && fits(block) ? { ...read.data, block } : null;
  };

  const listener = await manager.listens('opens the board of the gym, which is pushed', `/gyms/${gymId}/board/stream`);
  try {
    await listener.hears(
      'on which the block is covered',
      running(({ covered }) => covered),
      ({ block }) =>
        `${block.present} children are there; they need ${block.needed} coaches, and ${block.counted} count.`,
    );
    await desk.does(
      `writes down that ${coachName('edda')} had to leave`,
      post(`/gyms/${gymId}/staff-marks`, { personId: coach.edda, kind: 'out' }),
      Left,
      () => 'she is away.',
    );
    const short = await listener.hears(
      'on which the block is short',
      running(({ covered, findings }) => !covered && findings.length > 0),
      ({ block }) => `short. ${block.findings[0]?.sentence}`,
    );
    await manager.does(
      `sends ${coachName('piet')}, who gives up floating for it`,
      post(`/gyms/${gymId}/blocks/${blockId}/assignments`, {
        personId: coach.piet,
        duty: 'assist',
        startsAt: short.at,
        givingUpOthers: true,
      }),
      Assigned,
      () => 'he has the place from this moment on.',
    );
    await listener.hears(
      'on which the block is covered again',
      running(({ covered }) => covered),
      ({ block, ahead }) =>
        `covered; ${block.counted} count. What comes next it tells as well: ${ahead[0]?.sentence ?? 'nothing is amiss.'}`,
    );
  } finally {
    listener.close();
  }
}
