import { findChipPin } from '../../board/find';
import type { PinUse } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { freePins, freeWords } from '../freePins';
import { atMost, capitalised, causesOf, estimateNote, inWords, listed } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';
import { deviceWords, isSamePin } from '../wiring';

const example = (probe: string, mark = '') => `
#define ENDSTOP_INTERRUPTS 1
#define ENDSTOP_X_LOW_PIN PA6
#define PROBE_PIN ${probe}${mark}
//- a.board.json
{ "name": "Example board", "chip": "stm32f407", "pins": { "PA6": {}, "PC6": {}, "PC7": {} } }
`;

export default defineRule({
  id: 'pins/shared-interrupt',
  title: 'Two inputs on one interrupt line',
  what: 'Two inputs that the firmware watches by interrupt need one interrupt line of the chip.',
  why: 'The one that is set up last wins; the other is never seen, and the axis drives on.',
  formula: 'inputs grouped by interrupt line; more than one pin on a line that serves only one',
  source:
    "microcontroller data sheets: in many 32-bit families the line is the pin's number, shared by all ports through one selector",
  severity: ['error', 'warning', 'info'],
  caution: 'Keep a hand on the power switch at the first homing move.',
  bad: [example('PC6', '\n                  ^^^ pins/shared-interrupt: interrupt line 6')],
  good: [example('PC7'), example('PC6').replace('INTERRUPTS 1', 'INTERRUPTS 0')],
  check(context) {
    for (const users of usersOfLines(context)) checkLine(context, users);
  },
});

/** An input that firmware may watch by interrupt. Endstops, stall outputs and the probe are watched in one way. */
interface User {
  readonly use: PinUse;
  readonly line: Fact<string>;
  readonly endstop: boolean;
}

/** "the knob's first pin": for a knob the pin itself is meant. */
const wordsOf = ({ use, endstop }: User): string => (endstop ? deviceWords(use) : `the ${use.title}`);

const ENDSTOP = /^(?:endstop\.[^.]+\.(?:low|high)\.pin|probe\.pin|axis\.[^.]+\.stallPin)$/;
const OTHER = /^(?:panel\.(?:encoderPin[AB]|buttonPin)|fan\..*\.tachPin)$/;

function usersOfLines({ machine }: RuleContext): User[][] {
  const { board, pinUses } = machine;
  if (!board) return [];
  const lines = new Map<string, User[]>();
  for (const use of pinUses) {
    const { id } = use.reading.concept;
    const endstop = ENDSTOP.test(id);
    if (!endstop && !OTHER.test(id)) continue;
    const chip = findChipPin(board, use.pin)?.interruptLine;
    const line: Fact<string> | undefined =
      use.boardPin?.interruptLine ??
      (chip === undefined
        ? undefined
        : { value: chip, quality: 'datasheet', label: `interrupt line of pin ${use.pin} (data sheet)` });
    if (!line) continue;
    const users = lines.get(line.value) ?? [];
    // One pin for two of them is one interrupt.
    if (!users.some((other) => isSamePin(machine, other.use.pin, use.pin)))
      users.push({ use, line, endstop });
    lines.set(line.value, users);
  }
  return [...lines.values()].filter((users) => users.length > 1 && users.some(({ endstop }) => endstop));
}

function checkLine(context: RuleContext, users: readonly User[]): void {
  const { machine } = context;
  const last = users.at(-1);
  if (!last) return;
  const { reading } = last.use;
  const watched = context.need(
    machine.settings.switch('endstop.interrupts') ?? machine.sheet?.firmware?.watchesEndstopsByInterrupt,
    reading,
    'Does your firmware watch endstops by interrupt? Add it to the settings (endstop.interrupts) or to the machine sheet (firmware.watchesEndstopsByInterrupt): two inputs need one interrupt line.',
  );
  if (!watched?.value) return;
  const endstops = users.filter(({ endstop }) => endstop);
  const must = endstops.length > 1;
  const names = listed(users.map(wordsOf));
  const pins = listed(users.map(({ use }) => use.pin));
  const facts = [watched, ...users.map(({ line }) => line)];
  const others = users.filter(({ endstop }) => !endstop).map(wordsOf);
  const severity: Severity = must ? 'error' : 'info';
  const effect = must
    ? 'This chip can watch only one of them: the other would never be seen, and the axis would drive on.'
    : `That works as long as ${listed(others)} ${others.length > 1 ? 'are' : 'is'} not watched by interrupt too.`;
  const note = estimateNote(facts);
  const free = freeWords(
    freePins(machine, 'input', (pin) => {
      const line = pin.interruptLine?.value;
      return line !== undefined && !takenLines(context).has(line);
    }),
  );
  context.report({
    severity: note === '' ? severity : atMost(severity, 'warning'),
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: `${capitalised(names)} are on ${pins} and need interrupt line ${last.line.value}. ${effect}${note}`,
    causes: [
      ...users
        .slice(0, -1)
        .map(({ use }) => ({ place: use.reading.place, message: `${use.pin} is the pin of ${use.title}` })),
      ...causesOf(context, reading.place, facts),
    ],
    caution: must ? 'Keep a hand on the power switch at the first homing move.' : undefined,
    remedies: [
      inWords(
        free
          ? `Move one of them to an input with a free interrupt line: ${free}`
          : 'Move one of them to a pin with a free interrupt line',
      ),
      ...(must ? [inWords('Have the endstops looked at without interrupts, if the firmware can')] : []),
    ],
  });
}

/** Lines that an input needs already. */
function takenLines({ machine }: RuleContext): Set<string> {
  const { board, pinUses } = machine;
  return new Set(
    pinUses.flatMap(({ reading, boardPin, pin }) => {
      if (!ENDSTOP.test(reading.concept.id) && !OTHER.test(reading.concept.id)) return [];
      const line = boardPin?.interruptLine?.value ?? (board && findChipPin(board, pin)?.interruptLine);
      return line === undefined ? [] : [line];
    }),
  );
}
