/** Which letters beyond ASCII a name may hold, and which of them it may not begin with. */
export type Letters = 'c23' | 'c17';

/** ISO/IEC 9899:2018 D.1: first and last of each range up to ffff. */
const RANGES = [
  [0xa8, 0xa8],
  [0xaa, 0xaa],
  [0xad, 0xad],
  [0xaf, 0xaf],
  [0xb2, 0xb5],
  [0xb7, 0xba],
  [0xbc, 0xbe],
  [0xc0, 0xd6],
  [0xd8, 0xf6],
  [0xf8, 0xff],
  [0x100, 0x167f],
  [0x1681, 0x180d],
  [0x180f, 0x1fff],
  [0x200b, 0x200d],
  [0x202a, 0x202e],
  [0x203f, 0x2040],
  [0x2054, 0x2054],
  [0x2060, 0x206f],
  [0x2070, 0x218f],
  [0x2460, 0x24ff],
  [0x2776, 0x2793],
  [0x2c00, 0x2dff],
  [0x2e80, 0x2fff],
  [0x3004, 0x3007],
  [0x3021, 0x302f],
  [0x3031, 0x303f],
  [0x3040, 0xd7ff],
  [0xf900, 0xfd3d],
  [0xfd40, 0xfdcf],
  [0xfdf0, 0xfe44],
  // The last one, fffd, stands for bytes that were no text.
  [0xfe47, 0xfffc],
] as const;

/** D.2: those that no name begins with. */
const NOT_FIRST = [
  [0x300, 0x36f],
  [0x1dc0, 0x1dff],
  [0x20d0, 0x20ff],
  [0xfe20, 0xfe2f],
] as const;

const isIn = (ranges: readonly (readonly [number, number])[], code: number): boolean =>
  ranges.some(([first, last]) => code >= first && code <= last);

/** @param code a code point beyond ASCII */
export function isLetter(code: number, first: boolean, letters: Letters): boolean {
  if (letters === 'c23') {
    const letter = String.fromCodePoint(code);
    return (first ? /^\p{XID_Start}$/u : /^\p{XID_Continue}$/u).test(letter);
  }
  if (first && isIn(NOT_FIRST, code)) return false;
  return code > 0xffff ? code <= 0xeffff && (code & 0xffff) <= 0xfffd : isIn(RANGES, code);
}
