import { describe, expect, it } from 'vitest';
import { decode } from '../../server/src/project/decode';

// The marks are those of the Unicode Standard, 23.8 (byte order mark); the replacement character is that of its chapter 3.9.
describe('bytes to text', () => {
  it('lets a byte order mark choose the encoding, and leaves it out', () => {
    expect(decode(Buffer.from('\ufeffA µ', 'utf8'))).toBe('A µ');
    expect(decode(Buffer.from('\ufeffA µ', 'utf16le'))).toBe('A µ');
    expect(decode(Buffer.from('\ufeffA µ', 'utf16le').swap16())).toBe('A µ');
  });

  it('replaces bytes that are no UTF-8', () => {
    expect(decode(Uint8Array.of(0x41, 0xb5, 0x42))).toBe('A\ufffdB');
  });
});
