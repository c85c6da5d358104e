import { type Program, startService } from '../support/service.ts';

/** Several processes of the service on one database, each on a port of its own. */
export interface Instances {
  /** Where they are; one that is gone keeps its place until another takes it. */
  urls: string[];
  start(index: number): Promise<void>;
  kill(index: number): Promise<void>;
  /** All that they logged as going wrong on their side, each with the request that it was for. */
  faultsLogged(): { requestId: string; text: string }[];
  close(): Promise<void>;
}

export async function openInstances(count: number, env: Record<string, string>): Promise<Instances> {
  const running: (Program & { url: string })[] = [];
  const ended: string[] = [];
  const urls: string[] = [];
  const start = async (index: number) => {
    const service = await startService({ LOG_LEVEL: 'error', REQUESTS_A_MINUTE: '1000000', ...env });
    running[index] = service;
    urls[index] = service.url;
  };
  const kill = async (index: number) => {
    const service = running[index]!;
    service.child.kill('SIGKILL');
    await service.ended;
    ended.push(service.output());
  };
  // The first migrates; together they would only wait for it.
  await start(0);
  await Promise.all(Array.from({ length: count - 1 }, (_, index) => start(index + 1)));
  return {
    urls,
    start,
    kill,
    faultsLogged: () => [...ended, ...running.map((one) => one.output())].flatMap(faultsIn),
    close: async () => void (await Promise.all(running.map((_, index) => kill(index)))),
  };
}

function faultsIn(output: string): { requestId: string; text: string }[] {
  const lines = output.split('\n').filter((line) => line.startsWith('{') && line.includes('"err"'));
  return lines.flatMap((line) => {
    try {
      const { req, err } = JSON.parse(line);
      return [{ requestId: String(req?.id), text: JSON.stringify(err).slice(0, 2000) }];
    } catch {
      return []; // Cut short when it was killed.
    }
  });
}
