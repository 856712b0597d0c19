import type { Source } from './sources';
import { type Run, report } from './translation';

/** Problems that hang on the text of a file alone, not on the branch. */
export function noteFileProblems(run: Run, { parsed, uri }: Source): void {
  if (parsed.notText !== undefined) {
    report(run, {
      id: 'syntax/not-text',
      severity: 'error',
      place: { uri, start: parsed.notText, end: parsed.notText + 1 },
      message: 'There are bytes here that no text has. Save the file as plain text in UTF-8.',
    });
  }
  if (parsed.openComment) {
    const { start, end } = parsed.openComment;
    report(run, {
      id: 'syntax/unterminated-comment',
      severity: 'error',
      place: { uri, start, end },
      message: "The comment that opens here never ends. Close it with '*/'.",
    });
  }
  for (const { start, end } of parsed.runOnComments) {
    report(run, {
      id: 'syntax/comment-continues',
      severity: 'warning',
      place: { uri, start, end },
      message:
        'The backslash at the line end carries this comment over to the next line, which is not read. Remove it.',
    });
  }
  for (const at of parsed.looseSplices) {
    report(run, {
      id: 'syntax/blank-after-backslash',
      severity: 'info',
      place: { uri, start: at, end: at + 1 },
      message:
        'There are blanks behind this backslash; some compilers then do not join the lines. Remove them.',
    });
  }
}
