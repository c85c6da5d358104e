import type { MEDIA_TYPES } from '../../tables/incidents.ts';

export type MediaType = (typeof MEDIA_TYPES)[number];

/** So that its Base64 fits into a request. */
export const MOST_BYTES = 720 * 1024;
export const MOST_BASE64 = (MOST_BYTES / 3) * 4;

const at = (content: Buffer, offset: number, text: string) =>
  content.subarray(offset, offset + text.length).toString('latin1') === text;

/** What a file is by its first bytes, whatever its name says; null for anything that is not taken. */
export function mediaTypeOf(content: Buffer): MediaType | null {
  if (at(content, 0, '\xff\xd8\xff')) return 'image/jpeg';
  if (at(content, 0, '\x89PNG\r\n\x1a\n')) return 'image/png';
  if (at(content, 0, 'RIFF') && at(content, 8, 'WEBP')) return 'image/webp';
  if (at(content, 4, 'ftyp') && ['heic', 'heix', 'mif1'].some((brand) => at(content, 8, brand))) return 'image/heic';
  if (at(content, 0, '%PDF-')) return 'application/pdf';
  return null;
}
