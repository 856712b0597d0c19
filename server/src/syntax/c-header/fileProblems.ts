import type { Source } from './sources';
import { type Run, report } from './translation';

/** Problems that hang on the text of a file alone, not on the branch. */
export function noteFileProblems(run: Run, { parsed, uri }: Source): void {
  if (parsed.notText !== undefined) {
    report(run, {
      id: 'syntax/not-text',
      // The compilers pass over a single one.
      severity: parsed.lines.length === 0 ? 'error' : 'warning',
      place: { uri, start: parsed.notText, end: parsed.notText + 1 },
      message: 'There are bytes here that no text has. Save the file as plain text in UTF-8.',
    });
  }
  if (parsed.openComment !== undefined) {
    const at = parsed.starts[parsed.openComment] ?? 0;
    const mark = parsed.lines[parsed.openComment]?.all.at(-1);
    const [start, end] = [at + (mark?.start ?? 0), at + (mark?.end ?? 0)];
    report(run, {
      id: 'syntax/unterminated-comment',
      severity: 'error',
      place: { uri, start, end },
      message: "The comment that opens here never ends. Close it with '*/'.",
    });
  }
  for (const [index, { runOnComments, looseSplices }] of parsed.joins) {
    const base = parsed.starts[index] ?? 0;
    for (const { start, end } of runOnComments) {
      report(run, {
        id: 'syntax/comment-continues',
        severity: 'warning',
        place: { uri, start: base + start, end: base + end },
        message:
          'The backslash at the line end carries this comment over to the next line, which is not read. Remove it.',
      });
    }
    for (const at of looseSplices) {
      report(run, {
        id: 'syntax/blank-after-backslash',
        severity: 'info',
        place: { uri, start: base + at, end: base + at + 1 },
        message:
          'There are blanks behind this backslash; some compilers then do not join the lines. Remove them.',
      });
    }
  }
}
