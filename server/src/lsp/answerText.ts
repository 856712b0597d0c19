import { keptWith } from '../model/kept';

/** Takes a text piece by piece. */
export type Add = (ascii: string) => void;

/** How to write answers most of which was written before: after an edit, a long one is nearly what it was. */
const writers = keptWith<object, (add: Add) => void>('writer');

/** The answer, with a way to write it that gives what `asciiJson` does. */
export function writtenBy<T extends object>(answer: T, write: (add: Add) => void): T {
  writers.set(answer, write);
  return answer;
}

/** What `writtenBy` said of an answer; nothing for all others. */
export const writerOf = (answer: unknown): ((add: Add) => void) | undefined =>
  typeof answer === 'object' && answer !== null ? writers.get(answer) : undefined;

const BEYOND_ASCII = /[\u0080-\uffff]/;

/**
 * JSON with all that is not ASCII as escapes (RFC 8259, section 7): one such letter makes V8 write and read the whole text at half the
 * speed, at both ends.
 */
export function asciiJson(value: unknown): string {
  const text = JSON.stringify(value);
  if (!BEYOND_ASCII.test(text)) return text;
  return text.replace(/[\u0080-\uffff]/g, (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`);
}
