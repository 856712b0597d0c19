import { type Chain, enterArm, stateOf } from './branch';
import { expansionHost, standing } from './builtin';
import { evaluateCondition, type Verdict } from './condition';
import { expand } from './expand';
import { hasInclude } from './include';
import type { ParsedLine } from './lines';
import { isPunctuator, settle, spell, withHome } from './token';
import {
  atToken,
  clipText,
  directiveMark,
  directivePlace,
  noteExtra,
  placeOf,
  type Run,
  report,
  type Site,
  severityIn,
} from './translation';

/** The directives of 6.10.1 and C23's `#elifdef` and `#elifndef`. */
export const CHAIN_DIRECTIVES: ReadonlySet<string> = new Set([
  'if',
  'ifdef',
  'ifndef',
  'elif',
  'elifdef',
  'elifndef',
  'else',
  'endif',
]);

export function conditional(run: Run, site: Site): void {
  const { line, home, file } = site;
  const place = directivePlace(line, home);
  const text = spell(line.tokens);
  const directive = line.directive ?? '';
  if (directive.startsWith('if')) {
    const next: Chain = {
      outer: run.chain,
      openedAt: place,
      openedText: clipText(text),
      taken: 'no',
      sawElse: false,
      state: 'inactive',
      verdict: 'skipped',
      names: new Set(),
      mark: directiveMark(line, home),
      text: clipText(text),
      isGuard: run.chain === file.floor && isGuardLine(line, file.source.parsed.guard()),
    };
    if (stateOf(run.chain) !== 'inactive') applyVerdict(run, next, verdictOf(run, site));
    run.chain = next;
    next.armLine = home.line;
    startArm(run, next);
    return;
  }
  const { chain } = run;
  if (!chain || chain === file.floor) {
    report(run, {
      id: directive === 'endif' ? 'syntax/stray-endif' : 'syntax/stray-else',
      severity: 'error',
      place,
      message: `This #${directive} has no #if before it. Remove it, or add the #if it belongs to.`,
    });
    return;
  }
  if (directive === 'endif') {
    if (stateOf(chain.outer) !== 'inactive') noteExtra(run, line, home, 0);
    closeChain(run, chain, home.uri, home.line);
    return;
  }
  if (chain.sawElse) {
    report(run, {
      id: 'syntax/stray-else',
      severity: 'error',
      place,
      message: `This #${directive} comes after the #else of the same #if. Only #endif can follow an #else.`,
      related: [{ place: chain.openedAt, message: 'The #if it belongs to.' }],
    });
    noteDeadArm(run, chain, home.uri, home.line);
    endArm(run, chain);
    enterArm(chain, 'false');
    chain.state = 'inactive';
    return;
  }
  noteDeadArm(run, chain, home.uri, home.line);
  endArm(run, chain);
  const outerState = stateOf(chain.outer);
  chain.mark = directiveMark(line, home);
  chain.text = directive === 'else' ? clipText(`#else of ${chain.openedText}`) : clipText(text);
  if (directive === 'else') {
    chain.sawElse = true;
    if (outerState !== 'inactive') noteExtra(run, line, home, 0);
    enterArm(chain, outerState === 'inactive' ? 'skipped' : 'true');
  } else if (outerState === 'inactive' || chain.taken === 'yes') enterArm(chain, 'skipped');
  else applyVerdict(run, chain, verdictOf(run, site));
  startArm(run, chain);
}

/** @param line index of the line that closes it; without one the file ends */
export function closeChain(run: Run, chain: Chain, uri: string, line?: number): void {
  noteDeadArm(run, chain, uri, line);
  endArm(run, chain);
  if (chain.fork) run.environment.join(chain.fork, chain.taken === 'yes', chain.names);
  run.chain = chain.outer;
}

/**
 * The arm so far ends with the directive on a line, where there is one; the next one begins there. What the chain around it leaves out
 * anyway is noted with that.
 */
function noteDeadArm(run: Run, chain: Chain, uri: string, line: number | undefined): void {
  const opens = chain.armLine;
  chain.armLine = line;
  if (opens === undefined || chain.state === 'active') return;
  if (stateOf(chain.outer) === 'inactive') return;
  const visit = run.visits.get(uri) ?? 1;
  run.deadArms.push({ uri, opens, closes: line, state: chain.state, visit });
}

function startArm({ environment }: Run, chain: Chain): void {
  if (chain.state !== 'undecided') return;
  // Undecided by an outer chain alone: this chain itself is settled and needs no fork.
  if (chain.verdict !== 'undecided') return;
  chain.fork ??= environment.fork();
  environment.beginArm(chain.fork);
}

function endArm({ environment }: Run, chain: Chain): void {
  if (chain.fork && chain.state === 'undecided' && chain.verdict === 'undecided')
    environment.endArm(chain.fork);
}

function applyVerdict({ openWorld }: Run, chain: Chain, verdict: Verdict): void {
  if (verdict.kind === 'decided') enterArm(chain, verdict.value ? 'true' : 'false');
  else if (verdict.kind === 'undecided') enterArm(chain, 'undecided', verdict.names);
  else if (openWorld) enterArm(chain, 'undecided');
  else enterArm(chain, 'false');
}

function verdictOf(run: Run, site: Site): Verdict {
  switch (site.line.directive) {
    case 'if':
    case 'elif':
      return judge(run, site);
    case 'ifdef':
    case 'elifdef':
      return judgeName(run, site, true);
    default:
      return judgeName(run, site, false);
  }
}

function judge(run: Run, { line, home, file }: Site): Verdict {
  const { options, openWorld } = run;
  const tokens = line.rest.map((token) => withHome(token, home));
  const fallback = directivePlace(line, home);
  const grade = gradeOf(run, line);
  let failure: string | undefined;
  const host = expansionHost(run, () => fallback, {
    condition: true,
    problem(id, at, message) {
      failure = message;
      report(run, { id, severity: grade, place: atToken(at, fallback), message });
    },
  });
  const expanded = settle(expand(tokens, host));
  // What is left of a call that failed has a value for a compiler, but not one anybody meant.
  if (failure !== undefined && openWorld) return { kind: 'fault', message: failure };
  const verdict = evaluateCondition(expanded, {
    standing: (name) => standing(run, name),
    hasInclude: (spelling, operator) =>
      hasInclude(run, spelling, file, fallback, operator.text === '__has_include_next'),
    booleans: run.modern || openWorld,
    wordOperators: options.language === 'c++',
  });
  if (verdict.kind === 'decided' && verdict.doubt) {
    report(run, {
      id: 'syntax/bad-condition',
      severity: 'warning',
      place: atToken(verdict.doubt.token, fallback),
      message: verdict.doubt.message,
    });
  }
  if (verdict.kind === 'fault') {
    const [first, last] = [line.rest[0], line.rest[line.rest.length - 1]];
    const end = first && last ? placeOf(home, expanded.length > 0 ? last : first, last) : fallback;
    report(run, {
      id: 'syntax/bad-condition',
      severity: grade,
      place: atToken(verdict.token, verdict.token ? fallback : end),
      message: verdict.message,
    });
  }
  return verdict;
}

/** While an #elif is judged, the arm before it is still the current one. */
const gradeOf = ({ chain }: Run, { directive }: ParsedLine): 'error' | 'warning' =>
  severityIn(stateOf(directive?.startsWith('el') ? chain?.outer : chain));

function judgeName(run: Run, { line, home }: Site, wanted: boolean): Verdict {
  const name = line.rest[0];
  if (name?.kind !== 'identifier') {
    const message = `#${line.directive} needs the name of a setting behind it.`;
    report(run, {
      id: 'syntax/bad-condition',
      severity: gradeOf(run, line),
      place: name ? placeOf(home, name, name) : directivePlace(line, home),
      message,
    });
    return { kind: 'fault', message };
  }
  noteExtra(run, line, home, 1);
  const known = standing(run, name.text);
  if (known.kind === 'undecided') return { kind: 'undecided', names: known.names };
  return { kind: 'decided', value: (known.kind === 'defined') === wanted };
}

const isGuardLine = (line: ParsedLine, guard: string | undefined): boolean =>
  guard !== undefined &&
  (line.directive === 'ifndef'
    ? line.rest[0]?.text === guard
    : line.directive === 'if' &&
      isPunctuator(line.rest[0], '!') &&
      line.rest.some((token) => token.text === guard));
