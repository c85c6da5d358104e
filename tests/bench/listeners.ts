import { type ClientRequest, request } from 'node:http';
import { performance } from 'node:perf_hooks';
import { emptyTheHall } from './fill.ts';
import { type Side, sendOrFail } from './load.ts';
import type { Result } from './result.ts';
import { checkInCall, type House } from './stage.ts';
import { median, quantile } from './statistics.ts';

interface Listener {
  outgoing: ClientRequest;
  /** When the last message that it was sent was whole; null before the first. */
  last: number | null;
}

/** Opens a stream of server-sent events and reads it for as long as it lasts. */
function listenTo({ url, headers }: Side, path: string, onMessage: () => void): Promise<Listener> {
  return new Promise((opened, failed) => {
    const outgoing = request(`${url}${path}`, { agent: false, headers: { ...headers, Accept: 'text/event-stream' } });
    const listener: Listener = { outgoing, last: null };
    outgoing.on('error', failed);
    outgoing.on('response', (response) => {
      if (response.statusCode !== 200) return failed(new Error(`the stream was answered ${response.statusCode}`));
      let text = '';
      response.setEncoding('utf8');
      response.on('error', () => undefined);
      response.on('data', (chunk: string) => {
        text += chunk;
        const end = text.lastIndexOf('\n\n');
        if (end < 0) return;
        const isMessage = /^id:/m.test(text.slice(0, end));
        text = text.slice(end + 2);
        if (!isMessage) return;
        listener.last = performance.now();
        onMessage();
      });
      opened(listener);
    });
    outgoing.end();
  });
}

interface Memory {
  rss: number;
  heapUsed: number;
  external: number;
}

/** What the service holds after a collection. */
async function memoryOf({ service }: House, asked: number): Promise<Memory> {
  service.child.kill('SIGUSR2');
  const [, told = ''] = await service.printed(new RegExp(`memory ${asked}: (.*)`));
  return JSON.parse(told);
}

const MOST_WAIT_MS = 120_000;

export async function measureListeners(house: House, quick: boolean): Promise<Result> {
  const { gymDay, database } = house;
  const { f, gym } = gymDay;
  const count = quick ? 200 : 2000;
  const path = `/v1/gyms/${gym.id}/board/stream`;
  const listeners: Listener[] = [];
  let onMessage = () => {};
  /** Resolves when every listener has been sent a message since that moment. */
  const everybodyTold = (since: number) =>
    new Promise<void>((done, failed) => {
      const tooLate = setTimeout(() => failed(new Error('not every listener was told')), MOST_WAIT_MS);
      onMessage = () => {
        if (listeners.length < count || listeners.some(({ last }) => (last ?? 0) < since)) return;
        clearTimeout(tooLate);
        done();
      };
      onMessage();
    });

  // What a first stream loads is not what the two-thousandth costs.
  const first = await listenTo(house.as(), path, () => undefined);
  first.outgoing.destroy();
  await memoryOf(house, 1);
  const before = await memoryOf(house, 2);
  const opening = performance.now();
  const members = [gymDay.desk, gymDay.manager, f.coachOf(gym), f.owner, f.lead];
  const sides = members.map((member) => house.as(member));
  for (let index = 0; index < count; ) {
    const some = Array.from({ length: Math.min(50, count - index) }, () => sides[index++ % sides.length] ?? house.as());
    listeners.push(...(await Promise.all(some.map((side) => listenTo(side, path, () => onMessage())))));
  }
  await everybodyTold(opening);
  const openedAfter = performance.now() - opening;
  const after = await memoryOf(house, 3);

  const lasts: number[] = [];
  const firsts: number[] = [];
  const changes = gymDay.expected.slice(0, quick ? 3 : 15);
  for (const arrival of changes) {
    const sent = performance.now();
    await sendOrFail(house.as(), checkInCall(gymDay, arrival));
    const answered = performance.now();
    await everybodyTold(sent);
    const told = listeners.map(({ last }) => last ?? Number.POSITIVE_INFINITY);
    lasts.push(Math.max(...told) - answered);
    firsts.push(Math.min(...told) - sent);
  }
  const held = await memoryOf(house, 4);
  for (const { outgoing } of listeners) outgoing.destroy();
  await emptyTheHall(database, gymDay);
  const each = (now: Memory, what: keyof Memory) => (now[what] - before[what]) / count / 1000;
  return {
    name: 'Board listeners',
    how: `${count} streams on one instance, of ${members.length} accounts, all at one gym; ${changes.length} check-ins, each awaited at every listener; memory after a collection`,
    figures: [
      {
        what: `time until ${count} streams are open and have the board`,
        value: openedAfter / 1000,
        unit: 's',
        target: null,
      },
      { what: 'resident memory a listener, once open', value: each(after, 'rss'), unit: 'kB', target: null },
      { what: 'heap a listener, once open', value: each(after, 'heapUsed'), unit: 'kB', target: null },
      { what: 'resident memory a listener, after the pushes', value: each(held, 'rss'), unit: 'kB', target: null },
      { what: 'heap a listener, after the pushes', value: each(held, 'heapUsed'), unit: 'kB', target: null },
      { what: 'from a check-in sent to the first listener, median', value: median(firsts), unit: 'ms', target: null },
      { what: 'from a check-in answered to the last listener, median', value: median(lasts), unit: 'ms', target: null },
      {
        what: 'from a check-in answered to the last listener, worst',
        value: quantile(lasts, 1),
        unit: 'ms',
        target: null,
      },
    ],
  };
}
