import type { Change } from '../../machine/compare';
import { causesOf, nameOf, setSetting } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';
import { wordsOf } from './changed';
import { type Expected, expectedOn } from './expected';

const board = (file: string, sense: string) => `//- ${file}.board.json
{ "name": "Board ${file}", "drivers": { "X": { "stepPin": "P1", "senseResistor": "${sense}" } } }`;
const settings = (sense: string) => `#define AXIS_X_STEP_PIN P1
#define AXIS_X_SENSE_RESISTOR_OHM ${sense}`;

export default defineRule({
  id: 'review/board-bound-carried',
  title: 'A value of the old board',
  what: 'A setting that the board decides is as it was on the old board, and the new board needs another value.',
  why: 'It was right there, so it looks tried and tested. Here it is wrong.',
  formula: "concept is bound to the board; its value is the old board's; the new board's fact is another",
  source: 'both board profiles; which settings the board decides: data of the concepts (bound)',
  severity: ['error', 'warning', 'info'],
  bad: [
    `${settings('0.1f')}
                                  ^^^^ review/board-bound-carried: describes the old board. On the new one it should be 0.05 Ω
${board('new', '0.05 Ω')}
${board('base/old', '0.1 Ω')}
//- base/settings.h
${settings('0.1f')}`,
  ],
  good: [
    `${settings('0.05f')}
${board('new', '0.05 Ω')}
${board('base/old', '0.1 Ω')}
//- base/settings.h
${settings('0.1f')}`,
  ],
  check(context) {
    const { base, machine } = context;
    if (!base || !machine.board) return;
    const carried = context
      .changes()
      .filter(({ kind, concept }) => kind === 'same' && concept.bound === 'board');
    if (base.machine.board) for (const change of carried) checkCarried(context, change);
    else if (!base.sameProject) remark(context, carried);
  },
});

function checkCarried(context: RuleContext, { id, before, after }: Change): void {
  const { base, machine } = context;
  if (!base || !before || !after) return;
  const then = expectedOn(base.machine, before);
  const now = expectedOn(machine, after);
  // What was wrong on the old board is no value of it.
  if (!then?.fits(before) || !now) return;
  if (now.fits(after)) {
    if (then.fact !== now.fact)
      context.agree({
        place: after.place,
        message: 'Right on the old board, and on this one',
        causes: causesOf(context, after.place, [now.fact]),
      });
    return;
  }
  context.report({
    severity: severityOf(id),
    place: after.place,
    message: `${nameOf(after)} ${wordsOf(after)} describes the old board. On the new one it should be ${wordsFor(now, after)}.`,
    concept: id,
    root: after.place,
    causes: [
      ...causesOf(context, after.place, [now.fact]),
      ...(then.fact?.place
        ? [{ place: then.fact.place, message: `on the old board: ${wordsOf(before)}` }]
        : []),
    ],
    remedies: setSetting(context, after, now.value),
  });
}

function wordsFor({ value }: Expected, reading: NonNullable<Change['after']>): string {
  if ('si' in value) return wordsOf(reading, { kind: 'number', si: value.si, inUnit: value.si });
  if ('choice' in value) return value.choice;
  if ('pin' in value) return value.pin;
  return 'text' in value ? value.text : value.on ? 'on' : 'off';
}

/** These harm or stop the board at once. */
const severityOf = (id: string): Severity =>
  /[pP]in[AB]?$|\.senseResistor$|\.pullUp$|^build\.loadAddress$/.test(id) ? 'error' : 'warning';

/** Without the old board's profile nobody can tell what was tied to it. */
function remark(context: RuleContext, carried: readonly Change[]): void {
  const first = carried[0]?.after;
  if (!first || !context.base) return;
  const count = carried.length;
  context.report({
    severity: 'info',
    place: first.place,
    message: `${count === 1 ? 'A setting that the board decides is' : `${count} settings that the board decides are`} as in ${context.base.title}, ${nameOf(first)} among them. That project names no board profile: with one I can tell which of them described the old board.`,
    concept: first.concept.id,
  });
}
