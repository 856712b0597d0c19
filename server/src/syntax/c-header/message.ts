import { stateOf } from './branch';
import { spell } from './token';
import { clipText, directivePlace, placeOfMark, type Run, report, type Site } from './translation';

/** `#error` (6.10.5) and `#warning` (C23 6.10.7), where it is certain that they are compiled. */
export function message(run: Run, { line, home }: Site): void {
  const { chain } = run;
  if (stateOf(chain) !== 'active') return;
  const text = spell(line.rest);
  const stops = line.directive === 'error';
  report(run, {
    id: stops ? 'syntax/stopped-build' : 'syntax/build-warning',
    severity: stops ? 'error' : 'warning',
    place: directivePlace(line, home),
    message: stops
      ? `The build stops here: ${clipText(text, 300)}`
      : `The build warns here: ${clipText(text, 300)}`,
    related: chain && [{ place: placeOfMark(chain.mark), message: `Because of ${chain.text}` }],
  });
}
