/** The languages that answers can speak to people (BCP 47); the first is spoken where none is asked for, or another. */
export const LANGUAGES = ['en', 'de'] as const;
export type Language = (typeof LANGUAGES)[number];
/** What is kept for good, or said by the service of itself, is in this. */
export const LANGUAGE_OF_RECORD: Language = 'en';
