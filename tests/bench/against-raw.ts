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

/** Two sides, with tokens that are still good; what is called of both, and what clears up between rounds of it. */
interface Race {
  sides: () => { ours: Side; theirs: Side };
  calls: readonly Call[];
  before: () => Promise<void>;
}

/** Rounds of the two sides in turn, the one that begins changing each time. */
async function inTurn(race: Race, { rounds, clients }: { rounds: number; clients: number }): Promise<Paired[]> {
  const { ours: service, theirs: bare } = race.sides();
  const paired: Paired[] = [];
  for (let round = 0; round < rounds; round += 1) {
    const run = async (side: Side) => {
      await race.before();
      return closedLoop(side, clients, race.calls);
    };
    let pair: Paired;
    if (round % 2 === 0) {
      const ours = await run(service);
      pair = { ours, theirs: await run(bare) };
    } else {
      const theirs = await run(bare);
      pair = { theirs, ours: await run(service) };
    }
    paired.push(pair);
  }
  return paired;
}

const CLIENTS = [1, 8];
/** Requests to each side before anything is measured: the service goes on compiling what it runs most for about as many. */
const WARM_UP = 2500;

/** Both sides with one client and with several, once they are warm. */
async function raced(race: Race, quick: boolean, least: number): Promise<Figure[]> {
  const rounds = quick ? 1 : Math.ceil(WARM_UP / race.calls.length);
  await inTurn(race, { rounds, clients: Math.max(...CLIENTS) });
  const figures: Figure[] = [];
  for (const clients of CLIENTS) {
    figures.push(...figuresOf(clients, await inTurn(race, { rounds: quick ? 2 : 8, clients }), least));
  }
  return figures;
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

const inLoops = (quick: boolean): string =>
  `closed loop, rounds in turn${quick ? '' : `, after ${WARM_UP} requests to each side to warm up`}`;

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
  const groups = Object.fromEntries(gymDay.expected.map(({ athleteId, groupId }) => [athleteId, groupId]));
  const raw = await openRaw(house, { script: scriptOf(one, other), groups, answer: one.answer });
  const calls = gymDay.expected.map((arrival) => checkInCall(gymDay, arrival));
  const race = { sides: () => ({ ours: house.as(), theirs: raw.side }), calls, before: clear };
  const figures = await raced(race, quick, 0.7);
  await clear();
  await raw.close();
  const how = `each of ${calls.length} athletes of a gym’s day checked in once a round; ${raw.statements} statements a check-in on both sides, which the bare server sends one by one; ${inLoops(quick)}`;
  return { name: 'Check-in, beside a bare node:http and pg server that sends the same statements', how, figures };
}

export async function measureBoard(house: House, quick: boolean): Promise<Result> {
  const { gymDay } = house;
  const present = await fillTheHall(house);
  const [one, other] = await listenIn(house, [boardCall(gymDay), boardCall(gymDay)]);
  if (!one || !other) throw new Error('the board gave no answer');
  const nobody = { athleteId: '', sessionId: '', groupId: '' };
  const script = scriptOf({ ...one, ...nobody }, { ...other, ...nobody });
  const raw = await openRaw(house, { script, groups: {}, answer: one.answer });
  const calls = Array.from({ length: quick ? 20 : 100 }, () => boardCall(gymDay));
  const race = { sides: () => ({ ours: house.as(), theirs: raw.side }), calls, before: async () => undefined };
  const figures = await raced(race, quick, 0.6);
  await raw.close();
  const how = `${present} athletes in the building; ${raw.statements} statements on both sides, which the bare server sends one by one, encoding the answer that the service gave (${JSON.stringify(one.answer).length} bytes); ${inLoops(quick)}`;
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
