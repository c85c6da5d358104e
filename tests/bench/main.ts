import { writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { endPrograms } from '../support/service.ts';
import { measureBoard, measureCheckIn } from './against-raw.ts';
import { measureEngine } from './engine.ts';
import { emptyTheHall, ONE, TEN } from './fill.ts';
import { measureGrowth } from './growth.ts';
import { measureListeners } from './listeners.ts';
import { describeMachine } from './machine.ts';
import { measureRemedies } from './remedies.ts';
import { inLines, isMet, type Result } from './result.ts';
import { openBenchServer, SETTINGS_TOLD } from './server.ts';
import { type House, openHouse } from './stage.ts';

const NAMES = ['engine', 'check-in', 'board', 'remedies', 'listeners', 'growth'] as const;
type Name = (typeof NAMES)[number];
const USAGE = `npm run bench -- [--only ${NAMES.join('|')}] [--quick] [--careless] [--json FILE]
  --quick     few rounds: to see that it runs, not to read the figures
  --careless  a database that does not wait for the disk (fsync and synchronous_commit off)
  --json      writes the machine, the figures and whether each target is met`;

function readOptions() {
  const { values } = parseArgs({
    options: {
      json: { type: 'string' },
      only: { type: 'string' },
      quick: { type: 'boolean', default: false },
      careless: { type: 'boolean', default: false },
    },
  });
  const only = NAMES.find((name) => name === values.only);
  if (values.only !== undefined && only === undefined) throw new Error(`there is no measurement "${values.only}"`);
  return { ...values, names: only === undefined ? NAMES : [only] };
}

type Options = ReturnType<typeof readOptions>;

async function bench({ json, names, quick, careless }: Options): Promise<void> {
  const server = await openBenchServer({ careless });
  process.once('SIGINT', () => {
    endPrograms();
    void server.close().finally(() => process.exit(130));
  });
  const houses = new Map<string, House>();
  /** Filled when first asked for, and empty of whoever came in the measurement before. */
  const house = async (name: string): Promise<House> => {
    const known = houses.get(name) ?? (await openHouse(server, name, name === 'ten' ? TEN : ONE));
    houses.set(name, known);
    await emptyTheHall(known.database, known.gymDay);
    return known;
  };
  const measure: Record<Name, () => Promise<Result>> = {
    engine: () => measureEngine(quick),
    'check-in': async () => measureCheckIn(await house('one'), quick),
    board: async () => measureBoard(await house('one'), quick),
    remedies: async () => measureRemedies(await house('one'), quick),
    growth: async () => measureGrowth({ one: await house('one'), ten: await house('ten') }, quick),
    listeners: async () => measureListeners(await house('one'), quick),
  };
  try {
    const { database } = await house('one');
    const machine = await describeMachine(database.ownerPool, SETTINGS_TOLD);
    console.log(
      `${machine.cpu}, ${machine.cores} cores, ${machine.memoryGB} GB; Node.js ${machine.node}, PostgreSQL ${machine.postgres} (${Object.entries(
        machine.settings,
      )
        .map(([name, value]) => `${name} ${value}`)
        .join(', ')}); client, servers and database on it together\n`,
    );
    const results: Result[] = [];
    for (const name of names) {
      const result = await measure[name]();
      results.push(result);
      console.log(`${inLines(result)}\n`);
    }
    if (json !== undefined) {
      const told = results.map(({ figures, ...result }) => ({
        ...result,
        figures: figures.map((figure) => ({ ...figure, met: isMet(figure) })),
      }));
      await writeFile(json, `${JSON.stringify({ at: new Date(), quick, machine, results: told }, null, 2)}\n`);
    }
    for (const one of houses.values()) await one.close();
  } finally {
    endPrograms();
    await server.close();
  }
}

let options: Options | null = null;
try {
  options = readOptions();
} catch (error) {
  console.error(`${error instanceof Error ? error.message : error}\n\n${USAGE}`);
  process.exitCode = 1;
}
if (options !== null) await bench(options);
