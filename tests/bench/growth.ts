import { Agent } from 'node:http';
import { performance } from 'node:perf_hooks';
import { fillTheHall } from './against-raw.ts';
import { emptyTheHall } from './fill.ts';
import { type Call, sendOrFail } from './load.ts';
import type { Figure, Result } from './result.ts';
import { boardCall, checkInCall, type House } from './stage.ts';
import { median, quantile } from './statistics.ts';

interface Pair<T> {
  one: T;
  ten: T;
}

/** The latencies of single requests to two houses in turn, one at a time, the one that comes first changing. */
async function alternating(houses: Pair<House>, calls: Pair<readonly Call[]>): Promise<Pair<number[]>> {
  const latencies: Pair<number[]> = { one: [], ten: [] };
  const agent = new Agent({ keepAlive: true });
  const sides = { one: houses.one.as(), ten: houses.ten.as() };
  for (let index = 0; index < calls.one.length; index += 1) {
    for (const which of index % 2 === 0 ? (['one', 'ten'] as const) : (['ten', 'one'] as const)) {
      const call = calls[which][index];
      if (call === undefined) throw new Error('both houses get as many requests');
      const began = performance.now();
      await sendOrFail(sides[which], call, agent);
      latencies[which].push(performance.now() - began);
    }
  }
  agent.destroy();
  return latencies;
}

function figuresOf(what: string, { one, ten }: Pair<number[]>): Figure[] {
  const told = (said: string, value: number): Figure => ({ what: `${what}: ${said}`, value, unit: 'ms', target: null });
  return [
    told('median', median(one)),
    told('median at ten times the data', median(ten)),
    told('p99', quantile(one, 0.99)),
    told('p99 at ten times the data', quantile(ten, 0.99)),
    {
      what: `${what}: p99 at ten times the data, in p99s at one`,
      value: quantile(ten, 0.99) / quantile(one, 0.99),
      unit: 'times',
      target: { at: 'most', value: 1.2 },
    },
  ];
}

export async function measureGrowth(houses: Pair<House>, quick: boolean): Promise<Result> {
  const both = [houses.one, houses.ten];
  const clear = () => Promise.all(both.map(({ database, gymDay }) => emptyTheHall(database, gymDay)));
  const checkIns: Pair<number[]> = { one: [], ten: [] };
  const callsOf = ({ gymDay }: House) => gymDay.expected.map((arrival) => checkInCall(gymDay, arrival));
  for (let round = -1; round < (quick ? 1 : 10); round += 1) {
    await clear();
    const { one, ten } = await alternating(houses, { one: callsOf(houses.one), ten: callsOf(houses.ten) });
    if (round < 0) continue; // Warms up.
    checkIns.one.push(...one);
    checkIns.ten.push(...ten);
  }
  await clear();
  for (const house of both) await fillTheHall(house);
  const boards = (house: House) => Array.from({ length: quick ? 100 : 1500 }, () => boardCall(house.gymDay));
  await alternating(houses, { one: boards(houses.one).slice(0, 50), ten: boards(houses.ten).slice(0, 50) });
  const board = await alternating(houses, { one: boards(houses.one), ten: boards(houses.ten) });
  const rows = await Promise.all(both.map(rowsOf));
  await clear();
  const how = `the same gym’s day; beside it ${rows.join(' against ')} rows of attendance, marks, stays, blocks, places and events, half of the latter of other franchises; one request at a time, to both in turn; ${checkIns.one.length} check-ins and ${board.one.length} boards each`;
  return {
    name: 'Growth',
    how,
    figures: [...figuresOf('check-in', checkIns), ...figuresOf('board', board)],
  };
}

async function rowsOf({ database }: House): Promise<number> {
  const { rows } = await database.ownerPool.query<{ rows: string }>(
    `SELECT (SELECT count(*) FROM attendance) + (SELECT count(*) FROM attendance_marks) + (SELECT count(*) FROM stays)
      + (SELECT count(*) FROM blocks) + (SELECT count(*) FROM group_members) + (SELECT count(*) FROM events) AS rows`,
  );
  return Number(rows[0]?.rows);
}
