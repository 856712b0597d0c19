import { stateOf } from './branch';
import { parseString } from './number';
import { isPunctuator, makeToken, spell, type Token } from './token';
import { clipText, here, type Run, report, type Site } from './translation';

/** `#pragma` (6.10.6): those that concern the translation itself are obeyed, the others handed on. */
export const pragma = (run: Run, site: Site): readonly Token[] | undefined =>
  obey(run, site.line.rest) ? undefined : passedOn(site);

/**
 * Carries out the pragmas gcc and clang share that decide over what is read: `once`, `push_macro`, `pop_macro`, and GNU's
 * `GCC error` and `GCC warning`. False for any other.
 */
export function obey(run: Run, tokens: readonly Token[]): boolean {
  const [first, second, third] = tokens;
  if (first?.text === 'once' && tokens.length === 1) {
    const file = run.stack[run.stack.length - 1];
    if (file) run.once.add(file.source.uri);
    return true;
  }
  if (first && /^(?:push|pop)_macro$/.test(first.text) && isPunctuator(second, '(')) {
    const name = third?.kind === 'string' ? parseString(third.text) : undefined;
    if (name !== undefined && isPunctuator(tokens[3], ')')) keepOrRestore(run, first.text, name);
    return true;
  }
  if (first?.text === 'GCC' && (second?.text === 'error' || second?.text === 'warning')) {
    const message = third?.kind === 'string' ? parseString(third.text) : undefined;
    if (message !== undefined) say(run, second.text === 'error', message);
  }
  return false;
}

function keepOrRestore({ environment, saved }: Run, pragma: string, name: string): void {
  const kept = saved.get(name) ?? [];
  saved.set(name, kept);
  if (pragma === 'push_macro') {
    kept.push(environment.get(name));
    return;
  }
  const slot = kept.pop();
  if (slot) environment.set(name, slot);
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

/** A directive for later phases of the compiler, as one token. */
export function passedOn({ line, home }: Site): readonly Token[] | undefined {
  const hash = line.tokens[0];
  if (!hash) return undefined;
  const text = `#${line.directive === 'sccs' ? 'ident' : line.directive} ${spell(line.rest)}`.trimEnd();
  return [makeToken('pragma', text, hash.start, hash.end, true, home)];
}
