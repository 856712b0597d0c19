/**
 * Text from a file as it may be shown on a terminal: control characters (which could move the cursor or recolour the screen) and
 * marks that reorder text become U+FFFD.
 */
export const printable = (text: string): string =>
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this function is about.
  text.replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, '\ufffd');

/** The same, on one line: line breaks and runs of blanks become one blank. */
export const oneLine = (text: string): string => printable(text.replace(/\s+/g, ' ').trim());

/** Cuts text to a number of columns and says so with an ellipsis. */
export const crop = {
  head: (text: string, columns: number): string => {
    const all = [...text];
    return all.length <= columns ? text : `${all.slice(0, columns - 1).join('')}…`;
  },
  tail: (all: readonly string[], columns: number): string[] =>
    all.length <= columns ? [...all] : ['…', ...all.slice(all.length - columns + 1)],
};

/**
 * Breaks a paragraph into lines of at most `width` columns at blanks; a longer word stays whole, since a cut path or name is of no
 * use. Colour codes take no columns.
 */
export function wrap(text: string, width: number, first = '', rest = first): string {
  const words = text.split(' ').filter(Boolean);
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of words) {
    if (!empty && columns(line) + 1 + columns(word) > width) {
      lines.push(line);
      line = rest;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  lines.push(line);
  return lines.join('\n');
}

/** Columns a text takes on a terminal, colour codes not counted. */
export const columns = (text: string): number =>
  // biome-ignore lint/suspicious/noControlCharactersInRegex: colour codes begin with the escape character.
  [...text.replace(/\u001b\[[0-9;]*m/g, '')].length;

export const plural = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;
