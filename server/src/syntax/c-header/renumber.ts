import { expansionHost } from './builtin';
import { expand } from './expand';
import { settle, withHome } from './token';
import { directivePlace, here, lineNumber, type Run, report, type Site } from './translation';

/** `#line` (6.10.4), and GNU's `# 7 "file"`. */
export function renumber(run: Run, { line, home, file }: Site): void {
  const given = line.nameToken?.kind === 'number' ? [line.nameToken, ...line.rest] : line.rest;
  const host = expansionHost(run, () => here(run));
  const tokens = settle(
    expand(
      given.map((token) => withHome(token, home)),
      host,
    ),
  );
  const digits = tokens[0];
  if (digits?.kind !== 'number' || !/^[0-9']+$/.test(digits.text)) {
    report(run, {
      id: 'syntax/bad-directive',
      severity: 'error',
      place: directivePlace(line, home),
      message: '#line needs a line number behind it.',
    });
    return;
  }
  file.lineShift =
    Number(digits.text.replaceAll("'", '')) - (lineNumber(file.source, home.start + line.length - 1) + 1);
}
