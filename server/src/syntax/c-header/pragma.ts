import { stateOf } from './branch';
import { parseString } from './number';
import { isPunctuator, makeToken, spell, type Token } from './token';
import { clipText, here, noteExtra, type Run, report, type Site, severity } from './translation';

/** `#pragma` (6.10.6): those that concern the translation itself are obeyed, the others handed on. */
export const pragma = (run: Run, site: Site): readonly Token[] | undefined =>
  obey(run, site.line.rest) ? undefined : passedOn(site);

/**
 * Carries out the pragmas gcc and clang share that decide over what is read: `once`, `push_macro`, `pop_macro`, and GNU's
 * `GCC error` and `GCC warning`. False for any other.
 */
export function obey(run: Run, tokens: readonly Token[]): boolean {
  const [first, second, third] = tokens;
  if (first?.text === 'once') {
    const file = run.stack[run.stack.length - 1];
    if (file) run.once.add(file.source.uri);
    return true;
  }
  if (first && /^(?:push|pop)_macro$/.test(first.text)) {
    const name = third?.kind === 'string' ? parseString(third.text) : undefined;
    if (name !== undefined && isPunctuator(second, '(') && isPunctuator(tokens[3], ')'))
      keepOrRestore(run, first.text, name);
    else refuse(run, `#pragma ${first.text} needs a name in ("quotes and parentheses").`);
    return true;
  }
  if (first?.text === 'GCC' && (second?.text === 'error' || second?.text === 'warning')) {
    const message = third?.kind === 'string' ? parseString(third.text) : undefined;
    if (message !== undefined) say(run, second.text === 'error', message);
    else refuse(run, `#pragma GCC ${second.text} needs its text in "quotes".`);
  }
  return false;
}

function refuse(run: Run, text: string): void {
  report(run, { id: 'syntax/bad-directive', severity: severity(run), place: here(run), message: text });
}

function keepOrRestore({ environment, saved, undone }: Run, pragma: string, name: string): void {
  const kept = saved.get(name) ?? [];
  saved.set(name, kept);
  if (pragma === 'push_macro') {
    kept.push({ slot: environment.get(name), undone: undone.has(name) });
    return;
  }
  const last = kept.pop();
  if (!last) return;
  environment.set(name, last.slot);
  if (last.undone) undone.add(name);
  else undone.delete(name);
}

function say(run: Run, stops: boolean, message: string): void {
  if (stateOf(run.chain) !== 'active') return;
  report(run, {
    id: stops ? 'syntax/stopped-build' : 'syntax/build-warning',
    severity: stops ? 'error' : 'warning',
    place: here(run),
    message: `The build ${stops ? 'stops' : 'warns'} here: ${clipText(message, 300)}`,
  });
}

/** `#ident` and `#sccs`, which gcc and clang know and take one string for. */
export function ident(run: Run, site: Site): readonly Token[] | undefined {
  const { line, home } = site;
  const text = line.rest[0];
  if (text?.kind === 'string') {
    noteExtra(run, line, home, 1);
    return passedOn(site);
  }
  refuse(run, `#${line.directive} needs a text in "quotes".`);
  return undefined;
}

/** A directive for later phases of the compiler, as one token. */
function passedOn({ line, home }: Site): readonly Token[] | undefined {
  const hash = line.tokens[0];
  if (!hash) return undefined;
  const text = `#${line.directive === 'sccs' ? 'ident' : line.directive} ${spell(line.rest)}`.trimEnd();
  return [makeToken('pragma', text, hash.start, hash.end, true, home)];
}
