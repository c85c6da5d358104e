import { emptyTheHall, RUNNING } from './fill.ts';
import { type Call, closedLoop, type Round, type Side } from './load.ts';
import { scriptOf } from './recording.ts';
import type { Figure, Result } from './result.ts';
import { boardCall, checkInCall, type House, listenIn, openRaw } from './stage.ts';
import { median, medianRatio, quantile } from './statistics.ts';

interface Paired {
  ours: Round;
  theirs: Round;
}

/** Rounds of the two sides in turn, the one that begins changing each time; `before` clears up between them. */
async function inTurn(
  rounds: number,
  clients: number,
  sides: { ours: Side; theirs: Side },
  calls: readonly Call[],
  before: () => Promise<void>,
): Promise<Paired[]> {
  const paired: Paired[] = [];
  for (let round = -1; round < rounds; round += 1) {
    const run = async (side: Side) => {
      await before();
      return closedLoop(side, clients, calls);
    };
    let pair: Paired;
    if (round % 2 === 0) {
      const ours = await run(sides.ours);
      pair = { ours, theirs: await run(sides.theirs) };
    } else {
      const theirs = await run(sides.theirs);
      pair = { theirs, ours: await run(sides.ours) };
    }
    if (round >= 0) paired.push(pair); // The first warms both up.
  }
  return paired;
}

function figuresOf(clients: number, paired: readonly Paired[], least: number): Figure[] {
  const perSecond = paired.map(({ ours, theirs }) => ({ ours: ours.perSecond, theirs: theirs.perSecond }));
  const middle = (side: keyof Paired) => median(paired.flatMap((pair) => pair[side].latencies));
  const late = (side: keyof Paired) =>
    quantile(
      paired.flatMap((pair) => pair[side].latencies),
      0.99,
    );
  const with_ = `${clients} ${clients === 1 ? 'client' : 'clients'}`;
  const told = (what: string, value: number, unit: Figure['unit']): Figure => ({ what, value, unit, target: null });
  return [
    told(`${with_}: the service`, median(perSecond.map(({ ours }) => ours)), 'requests/s'),
    told(`${with_}: the bare server`, median(perSecond.map(({ theirs }) => theirs)), 'requests/s'),
    told(`${with_}: the service, median`, middle('ours'), 'ms'),
    told(`${with_}: the service, p99`, late('ours'), 'ms'),
    told(`${with_}: the bare server, p99`, late('theirs'), 'ms'),
    {
      what: `${with_}: the service’s share of the bare server’s throughput`,
      value: medianRatio(perSecond),
      unit: 'ratio',
      target: { at: 'least', value: least },
    },
  ];
}

export async function measureCheckIn(house: House, quick: boolean): Promise<Result> {
  const { gymDay, database } = house;
  const clear = () => emptyTheHall(database, gymDay);
  // Of three, the first makes the gym's day, which later ones find made.
  const three = gymDay.expected.slice(0, 3);
  const heard = await listenIn(
    house,
    three.map((arrival) => checkInCall(gymDay, arrival)),
  );
  const [, one, other] = three.map((arrival, index) => ({ ...arrival, sent: [], answer: null, ...heard[index] }));
  if (!one || !other) throw new Error('nobody is expected');
  const raw = await openRaw(house, { script: scriptOf(one, other), answer: one.answer });
  const calls = gymDay.expected.map((arrival) => checkInCall(gymDay, arrival));
  const figures: Figure[] = [];
  for (const clients of [1, 8]) {
    const sides = { ours: house.as(), theirs: raw.side };
    figures.push(...figuresOf(clients, await inTurn(quick ? 2 : 8, clients, sides, calls, clear), 0.7));
  }
  await clear();
  await raw.close();
  const how = `each of ${calls.length} athletes of a gym’s day checked in once a round; ${raw.statements} statements a check-in on both sides, which the bare server sends one by one; closed loop, rounds in turn`;
  return { name: 'Check-in, beside a bare node:http and pg server that sends the same statements', how, figures };
}

export async function measureBoard(house: House, quick: boolean): Promise<Result> {
  const { gymDay } = house;
  const present = await fillTheHall(house);
  const [one, other] = await listenIn(house, [boardCall(gymDay), boardCall(gymDay)]);
  if (!one || !other) throw new Error('the board gave no answer');
  const nobody = { athleteId: '', sessionId: '' };
  const script = scriptOf({ ...one, ...nobody }, { ...other, ...nobody });
  const raw = await openRaw(house, { script, answer: one.answer });
  const calls = Array.from({ length: quick ? 20 : 100 }, () => boardCall(gymDay));
  const figures: Figure[] = [];
  for (const clients of [1, 8]) {
    const sides = { ours: house.as(), theirs: raw.side };
    const paired = await inTurn(quick ? 2 : 8, clients, sides, calls, async () => undefined);
    figures.push(...figuresOf(clients, paired, 0.6));
  }
  await raw.close();
  const how = `${present} athletes in the building; ${raw.statements} statements on both sides, which the bare server sends one by one, encoding the answer that the service gave (${JSON.stringify(one.answer).length} bytes); closed loop, rounds in turn`;
  return { name: 'Board, beside the bare server', how, figures };
}

/** Everybody of the sessions that run has come; gives how many. */
export async function fillTheHall(house: House): Promise<number> {
  const { gymDay } = house;
  const running = new Set(gymDay.sessions.slice(0, RUNNING).map(({ id }) => id));
  const arrivals = gymDay.expected.filter(({ sessionId }) => running.has(sessionId));
  await closedLoop(
    house.as(),
    2,
    arrivals.map((arrival) => checkInCall(gymDay, arrival)),
  );
  return arrivals.length;
}
