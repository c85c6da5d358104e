/** What a person may try in the demo: left by the seed, shown at each start. */
export interface DemoFacts {
  signIns: { role: string; email: string; password: string; who: string }[];
  /** A request that is refused with its reasons: lines to paste into a shell, with `{url}` for the service's address. */
  refusal: { title: string; curl: string[] };
}

export interface BannerFacts {
  /** Where the service answers, without a trailing slash. */
  url: string;
  database: { kind: 'embedded'; folder: string } | { kind: 'given'; host: string };
  demo: DemoFacts | null;
}

/** What is said when the service is up: what runs, where to read on, who may sign in, and one thing to try. */
export function banner({ url, database, demo }: BannerFacts): string {
  const where =
    database.kind === 'embedded' ? `embedded PostgreSQL, kept in ${database.folder}` : `PostgreSQL at ${database.host}`;
  const lines = [
    '',
    `  Matside is running at ${url}`,
    `  API reference   ${url}/reference`,
    `  Database        ${where}`,
    ...(demo === null ? [] : demoLines(url, demo)),
    '',
    '  Ctrl-C stops it.',
    '',
  ];
  return lines.join('\n');
}

function demoLines(url: string, { signIns, refusal }: DemoFacts): string[] {
  const rows = signIns.map(({ role, email, password, who }) => [role, email, password, who]);
  return [
    '',
    '  Demo sign-ins (role, email, password, who)',
    ...inColumns(rows).map((row) => `    ${row}`),
    '',
    `  Try this: ${refusal.title}`,
    '',
    ...refusal.curl.map((line) => line.replaceAll('{url}', url)),
  ];
}

function inColumns(rows: string[][]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => (row[column] ?? '').length)));
  return rows.map((row) =>
    row
      .map((cell, column) => cell.padEnd(widths[column] ?? 0))
      .join('  ')
      .trimEnd(),
  );
}
