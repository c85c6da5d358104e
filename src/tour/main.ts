import { setTimeout } from 'node:timers/promises';
import { readConfig } from '../config.ts';
import { CannotStart } from '../platform/cannot-start.ts';
import { runProgram } from '../platform/process.ts';
import { playTour } from './tour.ts';

/** `npm run tour`, or `npm run tour -- http://127.0.0.1:3000`: plays the main job against the running service. */
await runProgram(() =>
  playTour({
    url: addressOf(process.argv[2]),
    now: new Date(),
    told: { line: (text) => console.log(text) },
    wait: (ms) => setTimeout(ms),
  }),
);

function addressOf(given: string | undefined): string {
  if (given !== undefined) {
    if (URL.canParse(given) && /^https?:$/.test(new URL(given).protocol)) return new URL(given).origin;
    throw new CannotStart(`"${given}" is no address; expected one such as http://127.0.0.1:3000.`);
  }
  const { host, port } = readConfig('database');
  const reached = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host.includes(':') ? `[${host}]` : host;
  return `http://${reached}:${port}`;
}
