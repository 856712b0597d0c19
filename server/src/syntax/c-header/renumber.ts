import { expansionHost } from './builtin';
import { expand } from './expand';
import { parseString } from './number';
import { isPlainString, settle, withHome } from './token';
import {
  atToken,
  directivePlace,
  here,
  lineNumber,
  noteExtra,
  type Run,
  report,
  type Site,
  severity,
} from './translation';

/** 6.10.4p3 */
const MOST_LINES = 2_147_483_647;

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
  const [digits, name, extra] = tokens;
  const number =
    digits?.kind === 'number' && /^[0-9']+$/.test(digits.text) ? digits.text.replaceAll("'", '') : '';
  const gnu = line.nameToken?.kind === 'number';
  // Behind GNU's form stand flags from 1 to 4.
  const isName =
    (name === undefined || isPlainString(name)) &&
    !(gnu && tokens.slice(2).some((flag) => !/^[1-4]$/.test(flag.text)));
  if (number === '' || !isName) {
    report(run, {
      id: 'syntax/bad-directive',
      severity: severity(run),
      place: atToken(number === '' || isName ? digits : (extra ?? name), directivePlace(line, home)),
      message:
        number === '' || isName
          ? '#line needs a line number behind it.'
          : '#line takes a file name in "quotes" behind the number, and nothing else.',
    });
    return;
  }
  if (!gnu && (Number(number) === 0 || Number(number) > MOST_LINES)) {
    report(run, {
      id: 'syntax/bad-directive',
      severity: 'warning',
      place: atToken(digits, directivePlace(line, home)),
      message: `A line number goes from 1 to ${MOST_LINES}.`,
    });
  }
  if (!gnu && extra) noteExtra(run, line, home, line.rest.indexOf(line.rest[2] ?? extra));
  file.lineShift = Number(number) - (lineNumber(file.source, home.start + line.length - 1) + 1);
  if (name) file.presumedName = parseString(name.text) ?? '';
}
