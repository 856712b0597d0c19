/** A short text may have some of them and still be one. */
const MOST_IN_SHORT_TEXT = 8;

/** NUL never stands in a text. A few cost nothing; many mean that this is some other kind of file. */
export function findBinary(text: string): { at: number; hopeless: boolean } | undefined {
  const at = text.indexOf('\0');
  const garbled = text.indexOf('\ufffd');
  if (at < 0 && garbled < 0) return undefined;
  let count = 0;
  for (let index = 0; index < text.length; index++) {
    const code = text.charCodeAt(index);
    if (code === 0xfffd || (code < 32 && (code < 9 || code > 13))) count++;
  }
  const hopeless = count > MOST_IN_SHORT_TEXT && count * 32 > text.length;
  if (at < 0 && !hopeless) return undefined;
  return { at: at < 0 ? garbled : at, hopeless };
}
