import { type SQL, sql } from 'drizzle-orm';

/** Small letters without their accents, as searching compares them: "Séan" is looked for as "sean". */
export const plainText = (text: SQL) => sql`regexp_replace(normalize(lower(${text}), NFD), '[\u0300-\u036f]', '', 'g')`;
