import { createHash } from 'node:crypto';

/** Tells texts apart, by UTF-16 units: what no UTF-8 could spell differs too. */
export const hashOf = (text: string): string => createHash('sha256').update(text, 'utf16le').digest('base64');

/** A file name for a text. */
export const nameOf = (text: string): string => createHash('sha256').update(text).digest('hex').slice(0, 32);
