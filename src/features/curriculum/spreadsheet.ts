// What a spreadsheet would run as a formula is written so that it only shows it, and read back as it was.

/** How a cell begins that spreadsheets take for a formula; the wide forms too, which some of them fold into these. */
const FORMULA = /^'*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/;
const MADE_HARMLESS = /^'+[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/;

/** With an apostrophe before it where it would be run; one that has apostrophes there already gets one more. */
export const harmless = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);

/** What `harmless` was given. */
export const restored = (text: string): string => (MADE_HARMLESS.test(text) ? text.slice(1) : text);
