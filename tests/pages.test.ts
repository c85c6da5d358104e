import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PROBLEMS } from '../src/platform/problem.ts';
import { routes } from '../src/routes.ts';
import { type Api, openApi } from './support/api.ts';
import { type Browser, findBrowser, openBrowser } from './support/browser.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

const page = async (path: string) => {
  const { status, headers, text } = await api.send('GET', path);
  expect(status).toBe(200);
  expect(headers.get('Content-Type')).toBe('text/html; charset=utf-8');
  return { text, policy: headers.get('Content-Security-Policy') ?? '' };
};

test.each(Object.entries(PROBLEMS))(
  'the type of the problem %s is the address of a page that explains it',
  async (name, { mend }) => {
    const { text, policy } = await page(`/problems/${name}`);
    expect(text).toContain(`<code>${name}</code>`);
    expect(text.replaceAll(/<\/?code>/g, '`').replaceAll('&#39;', "'")).toContain(mend);
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toContain('script-src');
  },
);

test('a problem that nobody knows has no page', async () => {
  const { status, body } = await api.send('GET', '/problems/%3Cscript%3E');
  expect(status).toBe(404);
  expect(body.type).toBe('/problems/no-such-route');
});

test.each(['/', '/reference', '/problems', '/problems/cover-broken'])('%s has nothing inline', async (path) => {
  const { text } = await page(path);
  expect(text).not.toMatch(/<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=/i);
});

test('the document is served as it is committed', async () => {
  const { status, body, headers } = await api.send<{ openapi: string }>('GET', '/openapi.json');
  expect(status).toBe(200);
  expect(headers.get('Content-Type')).toBe('application/json; charset=utf-8');
  expect(body.openapi).toBe('3.1.1');
});

test('no other file of the reference’s package is served', async () => {
  for (const path of ['/assets/index.html', '/assets/package.json', '/assets/..%2fpages.ts', '/assets/']) {
    expect((await api.send('GET', path)).status).toBe(404);
  }
});

const executable = findBrowser();

describe.runIf(executable !== null)('in a browser', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await openBrowser(executable ?? '');
  });
  afterAll(() => browser.close());

  test('the reference lists every operation, breaks no rule of its policy, and calls nobody else', async () => {
    const { page, complaints } = await browser.open(`${api.url}/reference`);
    await page.waitForSelector('.opblock');
    // Of a long list it draws only what is in sight.
    const listed = new Set<string>();
    for (let scrolled = 0; scrolled < 100 && listed.size < routes.length; scrolled += 1) {
      for (const line of await page.locator('.opblock-summary').allInnerTexts()) {
        const [method, path] = line.split('\n');
        listed.add(`${method} ${path}`.replaceAll('\u200b', ''));
      }
      await page.mouse.wheel(0, 600);
      await page.evaluate('new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))');
    }
    const called = ({ method, path }: (typeof routes)[number]) => `${method.toUpperCase()} /v1${path}`;
    expect([...listed].sort()).toEqual(routes.map(called).sort());
    await page.mouse.wheel(0, -100_000);
    await page.locator('.opblock-summary-control').first().click();
    await page.waitForSelector('.opblock-body .responses-wrapper');
    expect(complaints).toEqual([]);
  });

  test.each(['/', '/problems', '/problems/invalid-request', '/problems/not-covered'])(
    '%s reads well without JavaScript, on a narrow screen too',
    async (path) => {
      const { page, complaints } = await browser.open(`${api.url}${path}`, { javaScript: false, width: 360 });
      expect(await page.locator('h1').count()).toBe(1);
      expect(await page.evaluate("getComputedStyle(document.querySelector('nav .home')).fontWeight")).toBe('700');
      const { scrollWidth, clientWidth } = await page
        .locator('html')
        .evaluate(({ scrollWidth, clientWidth }) => ({ scrollWidth, clientWidth }));
      expect(scrollWidth).toBeLessThanOrEqual(clientWidth);
      expect(complaints).toEqual([]);
    },
  );
});
