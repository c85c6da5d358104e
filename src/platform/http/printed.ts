import { createHash } from 'node:crypto';
import { type Html, html } from './html.ts';

/** The policy of a page that has one style in it: no script, nothing from anywhere, and no style but that. */
export function styleHashOf(style: Html): string {
  const hash = createHash('sha256').update(style.markup).digest('base64');
  return `default-src 'none'; style-src 'sha256-${hash}'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'`;
}

/** A page to print: one file with its style in it. Kept on a disk, it prints without a network. */
export const printed = (title: string, style: Html, main: Html): string =>
  html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<link rel="icon" href="data:,">
<style>${style}</style>
</head>
<body>
${main}
</body>
</html>
`.markup;
