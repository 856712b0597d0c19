/** Text after translation phases 1 and 2, with a way back to the offsets of the original. */
export interface SplicedText {
  readonly text: string;
  /** Offset in `text` of each removed stretch, rising. */
  readonly cuts: readonly number[];
  /** Offset in the original where the text behind the cut goes on. */
  readonly resumes: readonly number[];
  /** Offsets in the original of backslashes that have blanks between them and the line end. */
  readonly looseSplices: readonly number[];
}

const TRIGRAPHS: Readonly<Record<string, string>> = {
  '=': '#',
  '(': '[',
  '/': '\\',
  ')': ']',
  "'": '^',
  '<': '{',
  '!': '|',
  '>': '}',
  '-': '~',
};

const isBlank = (code: number): boolean => code === 32 || code === 9 || code === 11 || code === 12;

/**
 * Joins lines that end in a backslash (5.1.1.2 phase 2) and, when asked, replaces trigraphs (phase 1).
 * Blanks between backslash and line end are let through, as the common compilers do; the end of the text ends its last line.
 */
export function splice(original: string, trigraphs: boolean): SplicedText {
  const cuts: number[] = [];
  const resumes: number[] = [];
  const looseSplices: number[] = [];
  if (!original.includes('\\') && !(trigraphs && original.includes('??'))) {
    return { text: original, cuts, resumes, looseSplices };
  }
  const parts: string[] = [];
  let length = 0;
  let from = 0;
  const keep = (to: number, piece = original.slice(from, to)): void => {
    parts.push(piece);
    length += piece.length;
  };
  const finder = trigraphs ? /\\|\?\?[=(/)'<!>-]/g : /\\/g;
  for (let match = finder.exec(original); match; match = finder.exec(original)) {
    const at = match.index;
    const isTrigraph = match[0].length === 3;
    const replacement = isTrigraph ? (TRIGRAPHS[match[0][2] ?? ''] ?? '') : '\\';
    let end = at + match[0].length;
    if (replacement === '\\') {
      let next = end;
      while (isBlank(original.charCodeAt(next))) next++;
      const isCr = original.charCodeAt(next) === 13;
      const isEnd = next >= original.length;
      if (isCr || isEnd || original.charCodeAt(next) === 10) {
        if (next > end && !isEnd) looseSplices.push(at);
        end = isEnd ? next : isCr && original.charCodeAt(next + 1) === 10 ? next + 2 : next + 1;
        keep(at);
        cuts.push(length);
        resumes.push(end);
        from = end;
        finder.lastIndex = end;
        continue;
      }
    }
    if (isTrigraph) {
      keep(at);
      keep(at, replacement);
      cuts.push(length);
      resumes.push(end);
      from = end;
    }
  }
  keep(original.length);
  return { text: parts.join(''), cuts, resumes, looseSplices };
}

/** Turns offsets of spliced text, asked in rising order, back into offsets of the original. */
export function offsetMapper({ cuts, resumes }: SplicedText): {
  start(offset: number): number;
  end(offset: number): number;
} {
  if (cuts.length === 0) return { start: (offset) => offset, end: (offset) => offset };
  let cursor = 0;
  const map = (offset: number, inclusive: boolean): number => {
    while (cursor > 0 && (cuts[cursor - 1] ?? 0) >= offset) cursor--;
    while (cursor < cuts.length && ((cuts[cursor] ?? 0) < offset || (inclusive && cuts[cursor] === offset)))
      cursor++;
    if (cursor === 0) return offset;
    return (resumes[cursor - 1] ?? 0) + (offset - (cuts[cursor - 1] ?? 0));
  };
  return { start: (offset) => map(offset, true), end: (offset) => map(offset, false) };
}
