import { stateOf } from './branch';
import { conditional } from './conditional';
import type { Environment, Slot } from './environment';
import { NOT_MOVED } from './lineMoves';
import type { ParsedLine } from './lines';
import { giveUpCheck } from './look';
import { message } from './message';
import type { Source } from './sources';
import { type Check, homeOf, noteFaults, type OpenFile, type Run } from './translation';

const LONGEST = 60;
const OPENING = new Set(['if', 'ifdef', 'ifndef']);
const INSIDE = new Set([...OPENING, 'elif', 'elifdef', 'elifndef', 'else', 'endif', 'error', 'warning', '']);

/** Index of the line that closes the chain opened on line `first`, when that is a check. */
export function endOfCheck({ parsed: { lines } }: Source, first: number): number | undefined {
  let depth = 0;
  for (let at = first; at < lines.length && at < first + LONGEST; at++) {
    const line = lines[at] as ParsedLine;
    if (line.disabled) return undefined;
    if (line.directive === undefined) continue;
    // What files there are is not for the name of a setting to say.
    if (!INSIDE.has(line.directive) || line.rest.some(({ text }) => text.startsWith('__has_')))
      return undefined;
    if (OPENING.has(line.directive)) depth++;
    else if (line.directive === 'endif' && --depth === 0) return at;
  }
  return undefined;
}

/** To be called before each line; opens a check that begins on it. */
export function beginCheck(run: Run, source: Source, index: number, line: ParsedLine): void {
  if (run.check || line.directive === undefined || !OPENING.has(line.directive)) return;
  const last = endOfCheck(source, index);
  if (last === undefined) return;
  const outer = run.chain && { ...run.chain };
  run.check = {
    uri: source.uri,
    first: index,
    last,
    outer,
    looked: new Map(),
    before: run.problems.length,
    armsBefore: run.deadArms.length,
  };
}

/** To be called behind each line; closes the check that ends on it. */
export function endCheck(run: Run, source: Source, index: number): void {
  const { check } = run;
  if (!check || check.last !== index || check.uri !== source.uri) return;
  const { before, armsBefore, ...rest } = check;
  run.check = undefined;
  const deadArms = run.deadArms.splice(armsBefore);
  run.checks.push({ ...rest, problems: run.problems.slice(before), deadArms });
}

/** To be called when a file is left, which may be in the middle of a check where reading has a limit. */
export function leaveCheck(run: Run, source: Source): void {
  if (run.check?.uri === source.uri) giveUpCheck(run);
}

/**
 * The problems of a check, and its arms that are not compiled, with what its names stand for now. Gives nothing when its conditions look
 * at names that they did not look at before, or for files.
 */
export function checkNow(
  run: Run,
  { first, last, outer, looked }: Check,
  source: Source,
): Pick<Check, 'problems' | 'deadArms'> | undefined {
  let strange = false;
  const file: OpenFile = { source, next: 0, floor: outer, lineShift: 0, searchNext: 0 };
  const again: Run = {
    ...run,
    environment: frozen((name) => {
      const slot = looked.get(name);
      strange ||= !slot;
      return slot ?? NOTHING;
    }),
    problems: [],
    seenProblems: new Set(),
    searches: new Map(),
    structural: new Set(),
    checks: [],
    deadArms: [],
    check: undefined,
    stack: [file],
    chain: outer && { ...outer },
  };
  const { now } = source.moves ?? NOT_MOVED;
  const [from, to] = [now(first) ?? 0, now(last) ?? -1];
  for (let index = from; index <= to && !strange; index++) {
    const line = source.parsed.lines[index] as ParsedLine;
    const home = homeOf(source, index);
    file.next = index + 1;
    if (line.directive === undefined) {
      if (line.tokens.length > 0 && stateOf(again.chain) === 'active') noteFaults(again, line, home);
    } else if (line.directive === 'error' || line.directive === 'warning') {
      if (stateOf(again.chain) !== 'inactive') message(again, { line, home, file });
    } else if (line.directive !== '') conditional(again, { line, home, file });
  }
  // What files there are is not for the name of a setting to say.
  if (strange || again.searches.size > 0) return undefined;
  // Marks name lines as they were numbered at the last translation.
  const then = (line: number | undefined) => line && (source.moves ?? NOT_MOVED).before(line);
  const deadArms = again.deadArms.map((arm) => ({
    ...arm,
    opens: then(arm.opens) ?? arm.opens,
    closes: then(arm.closes),
  }));
  return { problems: again.problems, deadArms };
}

const NOTHING: Slot = { definitions: [], mayBeAbsent: true };

/** Nothing is defined in a check, so its arms need no care. */
const frozen = (get: Environment['get']): Environment => ({
  get,
  touched: () => undefined,
  set: () => {},
  forget: () => {},
  names: () => [],
  fork: () => ({ arms: [], before: new Map() }),
  beginArm: () => {},
  endArm: () => {},
  join: () => {},
});
