/** Bytes. A settings header has some ten thousand lines at most; what is larger is no settings file and would only stall the check. */
export const largestFile = 16 * 1024 * 1024;

/**
 * Text of a file as an editor shows it: a byte order mark chooses the encoding and is no part of the text, so that places agree with
 * those of the opened document. Without a mark it is UTF-8; bytes that are none become U+FFFD. For every host that reads bytes.
 */
export function decode(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes);
  return new TextDecoder('utf-8').decode(bytes);
}
