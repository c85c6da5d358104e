/** A piece of HTML: what is in it has been escaped already. */
export interface Html {
  readonly markup: string;
}

type Part = string | number | Html | readonly Html[];

const ESCAPES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };
const escaped = (text: string) => text.replaceAll(/[&<>"']/g, (sign) => ESCAPES[sign] ?? sign);

function markupOf(part: Part): string {
  if (typeof part === 'string' || typeof part === 'number') return escaped(String(part));
  return 'markup' in part ? part.markup : part.map((one) => one.markup).join('');
}

/** HTML with every value escaped, for text and for attributes in double quotes: html`<p>${name}</p>`. */
export const html = (fixed: TemplateStringsArray, ...parts: Part[]): Html => ({
  markup: fixed.map((text, index) => text + (index < parts.length ? markupOf(parts[index]!) : '')).join(''),
});

/** A sentence in which what stands between backticks is code. */
export const prose = (sentence: string): Html[] =>
  sentence.split('`').map((text, index) => (index % 2 === 1 ? html`<code>${text}</code>` : html`${text}`));

/** A whole page: one heading, the way home, no script and no style of its own. */
export const pageOf = (title: string, main: Html): string =>
  html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title === 'Matside' ? title : `${title} · Matside`}</title>
<link rel="icon" href="/assets/icon.svg" type="image/svg+xml">
<link rel="stylesheet" href="/assets/pages.css">
</head>
<body>
<header>
<nav aria-label="Main"><a class="home" href="/">Matside</a> <a href="/reference">API reference</a> <a href="/problems">Problems</a></nav>
</header>
<main>
<h1>${title}</h1>
${main}
</main>
<footer>Matside gives no medical or legal advice; local law and licensed practice come first.</footer>
</body>
</html>
`.markup;
