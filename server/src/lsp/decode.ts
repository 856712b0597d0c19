/**
 * Text of a file as an editor shows it: the byte order mark is no part of it, so that offsets agree with those of the opened
 * document. UTF-16 is recognised by its mark; everything else is read as UTF-8, bad bytes become U+FFFD.
 */
export function decode(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes);
  return new TextDecoder('utf-8').decode(bytes);
}
