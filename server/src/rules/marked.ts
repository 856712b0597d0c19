/** A line of an example with a line of carets under a part of it: the finding that stands there. */
export const marked = (line: string, part: string, finding: string): string =>
  `${line}\n${' '.repeat(line.indexOf(part))}${'^'.repeat([...part].length)} ${finding}`;
