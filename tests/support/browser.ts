import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { chromium, type Page } from 'playwright-core';

/** A browser of this machine: what CHROMIUM names, else the first on the PATH. Null where there is none. */
export function findBrowser(): string | null {
  if (process.env.CHROMIUM) return process.env.CHROMIUM;
  const names = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];
  const folders = (process.env.PATH ?? '').split(delimiter);
  return folders.flatMap((folder) => names.map((name) => join(folder, name))).find(existsSync) ?? null;
}

export interface Browser {
  /** A new page, with what it complained about: errors on the console, broken rules of the page's policy, failed requests. */
  open(
    url: string,
    options?: { javaScript?: boolean; width?: number; headers?: Record<string, string> },
  ): Promise<{ page: Page; complaints: string[] }>;
  close(): Promise<void>;
}

/** One that calls nobody but the page's own service. */
export async function openBrowser(executablePath: string): Promise<Browser> {
  const profile = await mkdtemp(join(tmpdir(), 'matside-browser-'));
  const args = [
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    '--disable-dev-shm-usage',
  ];
  const browser = await chromium.launch({ executablePath, args, env: { ...process.env, HOME: profile } });
  return {
    async open(url, { javaScript = true, width = 1100, headers = {} } = {}) {
      const context = await browser.newContext({
        javaScriptEnabled: javaScript,
        viewport: { width, height: 900 },
        extraHTTPHeaders: headers,
      });
      const page = await context.newPage();
      const complaints: string[] = [];
      page.on('console', (message) => {
        if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
      });
      page.on('pageerror', (error) => complaints.push(error.message));
      page.on('requestfailed', (request) => complaints.push(`${request.url()} failed`));
      page.on('request', (request) => {
        const elsewhere = new URL(request.url()).origin !== new URL(url).origin;
        if (elsewhere && !request.url().startsWith('data:')) complaints.push(`${request.url()} is elsewhere`);
      });
      await page.goto(url, { waitUntil: 'networkidle' });
      return { page, complaints };
    },
    async close() {
      await browser.close();
      await rm(profile, { recursive: true, force: true });
    },
  };
}
