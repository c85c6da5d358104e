import type { Request } from 'express';
import { z } from 'zod';
import { LANGUAGE_OF_RECORD, LANGUAGES, type Language } from '../language.ts';
import { PROBLEMS, type ProblemName } from '../problem.ts';
import type { Route } from './route.ts';
import { inReadersLanguage } from './wire.ts';

/** What the reader would rather have of what there is (RFC 9110 §12.5.4); English where they name nothing that there is. */
export function languageFor(request: Request): Language {
  const asked = request.acceptsLanguages([...LANGUAGES]);
  return LANGUAGES.find((language) => language === asked) ?? LANGUAGE_OF_RECORD;
}

const known = new WeakMap<z.core.$ZodType, boolean>();

/** Does an answer of this shape hold text in the reader's language? */
function holdsSentences(schema: z.core.$ZodType): boolean {
  const holds = known.get(schema) ?? looksForSentences(schema);
  known.set(schema, holds);
  return holds;
}

function looksForSentences(schema: z.core.$ZodType): boolean {
  const told = inReadersLanguage.get(schema);
  if (told !== undefined) return told.readers;
  if (schema instanceof z.ZodObject) return Object.values(schema.shape).some((part) => holdsSentences(part));
  if (schema instanceof z.ZodArray) return holdsSentences(schema.element);
  if (schema instanceof z.ZodRecord) return holdsSentences(schema.valueType);
  if (schema instanceof z.ZodNullable || schema instanceof z.ZodOptional) return holdsSentences(schema.unwrap());
  if (schema instanceof z.ZodUnion) return schema.options.some((part) => holdsSentences(part));
  return false;
}

/** Is a problem told in the reader's language? The others are in English. */
export const isProblemInReadersLanguage = (name: ProblemName): boolean => holdsSentences(PROBLEMS[name].extras);

/** Does the answer of this status hold sentences? */
export const answersInReadersLanguage = ({ returns }: Route, status: number): boolean => {
  const body = returns[status];
  return body !== null && body !== undefined && holdsSentences(body);
};

/** May what a route answers differ by the reader's language? */
export const speaks = (route: Route): boolean =>
  route.problems.some(isProblemInReadersLanguage) ||
  Object.keys(route.returns).some((status) => answersInReadersLanguage(route, Number(status)));
