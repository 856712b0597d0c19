import type { Place } from '../../model/place';
import type { Standing } from './condition';
import { certain } from './environment';
import type { ExpansionHost } from './expand';
import { noteLook } from './look';
import { makeToken, type Token } from './token';
import { atToken, lineNumber, type Run, report, severity } from './translation';

/**
 * Names the translator itself answers for (6.10.8 and GNU). When no date is known the common compilers write question marks,
 * and here it never is: the same text has to read the same tomorrow.
 */
const BUILTIN: Readonly<Record<string, (run: Run, at: Token | undefined) => Token>> = {
  __LINE__: (run, at) => numberToken(lineOf(run, at)),
  __FILE__: (run, at) => stringToken(fileName(run, at)),
  __FILE_NAME__: (run, at) => stringToken(fileName(run, at).replace(/^.*[/\\]/, '')),
  __BASE_FILE__: (run) => stringToken(nameOf(run, run.entries[0] ?? '')),
  __DATE__: () => stringToken('??? ?? ????'),
  __TIME__: () => stringToken('??:??:??'),
  __TIMESTAMP__: () => stringToken('??? ??? ?? ??:??:?? ????'),
  __COUNTER__: (run) => numberToken(run.counter++),
  __INCLUDE_LEVEL__: (run) => numberToken(Math.max(0, run.stack.length - 1)),
};
/** Operators that `defined` holds for. */
const OPERATORS = new Set(['__has_include', '__has_include_next', '_Pragma']);

const numberToken = (value: number): Token => makeToken('number', String(value), 0, 0, false);
const stringToken = (text: string): Token =>
  makeToken('string', `"${text.replace(/["\\]/g, '\\$&')}"`, 0, 0, false);

const nameOf = ({ options }: Run, uri: string): string => options.nameOf?.(uri) ?? uri;

function fileName(run: Run, at: Token | undefined): string {
  const file = run.stack[run.stack.length - 1];
  return file?.presumedName ?? nameOf(run, file?.source.uri ?? at?.home?.uri ?? '');
}

function lineOf({ stack, sources }: Run, at: Token | undefined): number {
  const file = stack[stack.length - 1];
  const home = at?.home;
  const source = home && sources.get(home.uri);
  if (!source || !home || !at) return 0;
  return lineNumber(source, home.start + at.start) + (file?.source === source ? file.lineShift : 0);
}

/** Whether a name stands for something of the compiler's own that no definition took away. All such names begin with `_`. */
const isBuiltin = (run: Run, name: string): boolean =>
  name.charCodeAt(0) === 95 &&
  (Object.hasOwn(BUILTIN, name) || OPERATORS.has(name) || answersOf(run, name) !== undefined) &&
  !run.undone.has(name);

/** From here on the name means what the text says. */
export function takeBuiltin(run: Run, name: string): void {
  if (isBuiltin(run, name)) run.undone.add(name);
}

function builtin(run: Run, name: string, at: Token | undefined): readonly Token[] | undefined {
  if (!Object.hasOwn(BUILTIN, name) || run.undone.has(name)) return undefined;
  const token = BUILTIN[name]?.(run, at);
  return token && [token];
}

const answersOf = (
  { options: { answers } }: Run,
  name: string,
): Readonly<Record<string, number>> | undefined =>
  answers && Object.hasOwn(answers, name) ? answers[name] : undefined;

/** How macros expand at the point the run has reached; problems without a place of their own go to `fallback`. */
export const expansionHost = (
  run: Run,
  fallback: () => Place,
  extra: Partial<ExpansionHost> = {},
): ExpansionHost => ({
  lookup: (name) => {
    noteLook(run, name);
    return certain(run.environment.get(name))?.macro;
  },
  builtin: (name, at) => builtin(run, name, at),
  answers: (name) => (run.undone.has(name) ? undefined : answersOf(run, name)),
  operators: (name) => OPERATORS.has(name) && !run.undone.has(name),
  lexer: run.lexer,
  limits: run.limits,
  problem(id, at, message) {
    report(run, { id, severity: severity(run), place: atToken(at, fallback()), message });
  },
  ...extra,
});

/** What a condition learns about a name. */
export function standing(run: Run, name: string): Standing {
  noteLook(run, name);
  if (isBuiltin(run, name)) return { kind: 'defined' };
  // Nothing can define it (6.10.8p2).
  if (name === 'defined') return { kind: 'absent' };
  const slot = run.environment.get(name);
  if (slot.undecided) return { kind: 'undecided', names: slot.undecided };
  return { kind: slot.definitions.length > 0 ? 'defined' : 'absent' };
}
