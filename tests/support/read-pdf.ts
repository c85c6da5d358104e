import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';

/** What a PDF says, read back by a reader that is not ours: its pages, and the size of its smallest text in points. */
export async function readPdf(bytes: Uint8Array): Promise<{ pages: string[]; smallest: number }> {
  const loading = getDocument({ data: Uint8Array.from(bytes), useSystemFonts: false, verbosity: 0 });
  const document = await loading.promise;
  const pages: string[] = [];
  let smallest = Number.POSITIVE_INFINITY;
  for (let number = 1; number <= document.numPages; number += 1) {
    const { items } = await (await document.getPage(number)).getTextContent();
    const texts = items.flatMap((item) => ('str' in item && item.str.trim() !== '' ? [item] : []));
    pages.push(texts.map(({ str }) => str).join(' '));
    for (const { transform } of texts) smallest = Math.min(smallest, Math.hypot(transform[2], transform[3]));
  }
  await loading.destroy();
  return { pages, smallest };
}

/** Without its spaces and line breaks, in capitals: where a line was broken is not what it says. */
export const squeezed = (text: string): string => text.replaceAll(/\s+/g, '').toUpperCase();
