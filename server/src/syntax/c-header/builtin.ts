import type { Place } from '../../model/place';
import type { Standing } from './condition';
import { certain } from './environment';
import type { ExpansionHost } from './expand';
import { makeToken, type Token } from './token';
import { atToken, lineNumber, type Run, report, severity } from './translation';

/** Names the translator itself answers for (6.10.8). */
const BUILTIN = new Set(['__LINE__', '__FILE__', '__COUNTER__', '__INCLUDE_LEVEL__']);

function builtin(run: Run, name: string, at: Token | undefined): readonly Token[] | undefined {
  if (!BUILTIN.has(name)) return undefined;
  const { stack, sources } = run;
  const file = stack[stack.length - 1];
  const number = (value: number): Token[] => [makeToken('number', String(value), 0, 0, false)];
  if (name === '__COUNTER__') return number(run.counter++);
  if (name === '__INCLUDE_LEVEL__') return number(Math.max(0, stack.length - 1));
  if (name === '__FILE__') {
    return [makeToken('string', JSON.stringify(file?.source.uri ?? at?.home?.uri ?? ''), 0, 0, false)];
  }
  const home = at?.home;
  const source = home && sources.get(home.uri);
  if (!source || !home || !at) return number(0);
  return number(lineNumber(source, home.start + at.start) + (file?.source === source ? file.lineShift : 0));
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
    run.structural.add(name);
    return certain(run.environment.get(name))?.macro;
  },
  builtin: (name, at) => builtin(run, name, at),
  answers: (name) => answersOf(run, name),
  lexer: run.lexer,
  limits: run.limits,
  problem(id, at, message) {
    report(run, { id, severity: severity(run), place: atToken(at, fallback()), message });
  },
  ...extra,
});

/** What a condition learns about a name. */
export function standing(run: Run, name: string): Standing {
  if (BUILTIN.has(name) || name === '__has_include' || name === '__has_include_next')
    return { kind: 'defined' };
  if (answersOf(run, name)) return { kind: 'defined' };
  run.structural.add(name);
  const slot = run.environment.get(name);
  if (slot.undecided) return { kind: 'undecided', names: slot.undecided };
  return { kind: slot.definitions.length > 0 ? 'defined' : 'absent' };
}
