import { decidingCondition, stateOf, undecidedNames } from './branch';
import { takeBuiltin } from './builtin';
import { ABSENT, certain, defined, type Live, type Slot } from './environment';
import type { DisabledDefinition, ParsedLine } from './lines';
import { type Definition, isSameDefinition } from './macro';
import type { Home, Mark, Token } from './token';
import {
  directiveMark,
  directivePlace,
  noteExtra,
  noteFaults,
  placeOf,
  placeOfMark,
  type Run,
  report,
  type Site,
  severity,
} from './translation';

/** `#define` (6.10.3). */
export function define(run: Run, { line, home, file }: Site): void {
  const { environment, chain } = run;
  const state = stateOf(chain);
  if (state !== 'inactive') noteFaults(run, line, home);
  const definition = line.definition;
  if (!definition) return;
  const name = definition.macro.name;
  const isGuard = definition.macro.body.length === 0 && file.source.parsed.guard() === name;
  if (state === 'inactive') {
    addDraft(run, line, home, definition, undefined, undefined, isGuard);
    return;
  }
  noteReserved(run, definition.nameToken, home);
  // What a name is before anything defines it makes no difference here, and takes long to find out.
  const slot = environment.touched(name) ?? ABSENT;
  const previous = certain(slot);
  if (
    previous &&
    state === 'active' &&
    !isSameDefinition(previous.macro, definition.macro) &&
    !previous.predefined
  ) {
    report(run, {
      id: 'syntax/redefinition',
      severity: 'warning',
      place: placeOf(home, definition.nameToken, definition.nameToken),
      message: `'${name}' already has another definition here. The compiler complains and takes this one; remove one of the two, or put #undef ${name} between them.`,
      related: previous.mark && [{ place: placeOfMark(previous.mark), message: 'The earlier definition.' }],
    });
  }
  takeBuiltin(run, name);
  const { start, end: stop } = definition.nameToken;
  const live: Live = { macro: definition.macro, mark: { home, start, end: stop }, arm: chain?.arm };
  if (slot.definitions.length > 0) end(slot, directiveMark(line, home), 'define');
  environment.set(name, defined(live));
  run.definitions.set(name, (run.definitions.get(name) ?? 0) + 1);
  addDraft(run, line, home, definition, live, undefined, isGuard);
}

/** `#undef` (6.10.3.5). */
export function undef(run: Run, { line, home }: Site): void {
  const name = line.rest[0];
  const place = directivePlace(line, home);
  if (name?.kind !== 'identifier' || name.text === 'defined') {
    report(run, {
      id: 'syntax/bad-directive',
      severity: severity(run),
      place: name ? placeOf(home, name, name) : place,
      message: '#undef needs the name of a setting behind it.',
    });
    return;
  }
  noteExtra(run, line, home, 1);
  noteReserved(run, name, home);
  end(run.environment.get(name.text), directiveMark(line, home), 'undef');
  run.environment.set(name.text, ABSENT);
  takeBuiltin(run, name.text);
}

/** Names that no text may define or undefine (6.10.8p2, C23 6.10.1p14). */
const RESERVED =
  /^__(?:FILE|LINE|DATE|TIME|STDC|STDC_HOSTED|STDC_VERSION)__$|^__has_(?:include|embed|c_attribute)$/;

function noteReserved(run: Run, name: Token, home: Home): void {
  if (name.text.charCodeAt(0) !== 95 || !RESERVED.test(name.text)) return;
  report(run, {
    id: 'syntax/bad-directive',
    severity: 'warning',
    place: placeOf(home, name, name),
    message: `'${name.text}' is the compiler's own name. Choose another one.`,
  });
}

export function addDraft(
  { chain, drafts }: Run,
  line: ParsedLine,
  home: Home,
  definition: Definition,
  live: Live | undefined,
  disabled: DisabledDefinition | undefined,
  isGuard = false,
): void {
  drafts.push({
    home,
    line,
    definition,
    disabled,
    branch: stateOf(chain),
    condition: decidingCondition(chain),
    undecidedNames: undecidedNames(chain),
    arm: chain?.arm,
    live,
    isGuard,
  });
}

function end(slot: Slot, mark: Mark, by: 'define' | 'undef'): void {
  for (const live of slot.definitions) live.ended ??= { mark, by };
}
