import { de } from './de.ts';
import { en } from './en.ts';
import type { Texts } from './texts.ts';

const TEXTS = { en, de } satisfies Record<string, Texts>;

/** A language that cover can say everything in (BCP 47). */
export type Language = keyof typeof TEXTS;
export type { Texts } from './texts.ts';

/** All that cover says, in a language. */
export const textsIn = (language: Language): Texts => TEXTS[language];
