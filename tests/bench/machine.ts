import { cpus, totalmem } from 'node:os';
import type pg from 'pg';

export interface Machine {
  cpu: string;
  cores: number;
  memoryGB: number;
  node: string;
  postgres: string;
  /** Those that decide whether a commit waits for the disk, and what else was set. */
  settings: Record<string, string>;
}

/** Where the figures come from, so that nobody reads them as if they were of another machine. */
export async function describeMachine(owner: pg.Pool, named: readonly string[]): Promise<Machine> {
  const { rows } = await owner.query<{ name: string; setting: string }>(
    'SELECT name, setting FROM pg_settings WHERE name = ANY($1) ORDER BY name',
    [['server_version', ...named]],
  );
  const settings = Object.fromEntries(rows.map(({ name, setting }) => [name, setting]));
  const { server_version: postgres = 'unknown', ...rest } = settings;
  const [cpu] = cpus();
  return {
    cpu: cpu?.model ?? 'unknown',
    cores: cpus().length,
    memoryGB: Math.round(totalmem() / 2 ** 30),
    node: process.version,
    postgres,
    settings: rest,
  };
}
