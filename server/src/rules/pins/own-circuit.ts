import { isPin } from '../../board/find';
import type { BoardPin, BoardProfile, OwnCircuit } from '../../board/profile';
import { isCircuit } from '../../machine/inputCircuit';
import { type StateLevel, stateLevel } from '../../machine/levels';
import type { Input, PinUse } from '../../machine/machine';
import { ownParts } from '../../machine/ownCircuit';
import type { Fact } from '../../model/fact';
import { formatInterval } from '../../units';
import { freePins, freeWords } from '../freePins';
import { atMost, capitalised, causesOf, estimateNote, inWords } from '../kit';
import { defineRule, lower, type RuleContext, type Severity } from '../rule';
import { actionOf, deviceWords, isHeater, madeForPins } from '../wiring';

const example = (pin: string, mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN ${pin}${mark}
#define ENDSTOP_X_LOW_PULL UP
//- b.board.json
{
  "name": "Example",
  "logicVoltage": "3.3 V",
  "chipFacts": { "vil": "0.99 V", "vih": "2.31 V", "pullUp": "40 kΩ" },
  "connectors": { "J1": { "pin": "P1" }, "J2": { "pin": "P2" } },
  "pins": { "P2": { "ownCircuit": { "kind": "lamp", "resistance": "1 kΩ", "forwardVoltage": "1.6 V", "to": "0 V" } } }
}
//- m.machine.json
{
  "name": "Example",
  "sensors": { "x": { "watches": "endstop.x.low", "kind": "contact", "contact": "NO", "joins": "0 V" } }
}`;

export default defineRule({
  id: 'pins/own-circuit',
  title: 'The board itself is on this pin',
  what: 'A lamp, a contact, a sounder or another driver on the board is tied to a pin that the settings give to something else.',
  why: 'It pulls the level to where it is neither low nor high, or drives against what is plugged in.',
  formula:
    "the input's circuit with the board's part added; a lamp to 0 V: V_p = V_f + (V_logic − V_f)·R/(R + R_pull); a contact or a driver: a second source, in both its states",
  source:
    "nodal analysis; V_IL and V_IH of the chip's data sheet; a lamp's 1.6 V (red) to 2.6 V (white, blue) at small current: common practice",
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [example('P2', '\n                          ^^ pins/own-circuit: pulls it to 1.64 V')],
  good: [example('P1')],
  check(context) {
    const { board, pinUses } = context.machine;
    if (!board) return;
    for (const use of pinUses) {
      const own = use.boardPin?.ownCircuit;
      if (use.boardPin && own && !isMeant(context, board, use, own)) {
        checkUse(context, board, use, use.boardPin, own);
      }
    }
  },
});

/** What the board's part is there for, or what its maker meant the pin for. */
function isMeant(context: RuleContext, board: BoardProfile, use: PinUse, { kind }: OwnCircuit): boolean {
  const id = use.reading.concept.id;
  if (madeForPins(context.machine, use).some(({ pin }) => isPin(board, pin, use.pin))) return true;
  switch (kind.value) {
    case 'contact':
      return id === 'card.detectPin';
    case 'sounder':
      return id === 'panel.sounderPin';
    // A lamp that shows whether an output is on only takes a little current.
    case 'lamp':
      return use.reading.concept.pin?.direction !== 'in';
    case 'driver':
      return id.startsWith('axis.');
    default:
      return use.reading.concept.pin?.direction !== 'in';
  }
}

const NAMES: Readonly<Record<string, string>> = {
  lamp: 'own lamp',
  contact: 'own contact',
  sounder: 'own sounder',
  driver: 'own driver',
  divider: 'own divider',
  other: 'own circuit',
};

function checkUse(
  context: RuleContext,
  board: BoardProfile,
  use: PinUse,
  pin: BoardPin,
  own: OwnCircuit,
): void {
  const input = context.machine.inputs.find(({ id }) => use.reading.concept.id === `${id}.pin`);
  if (input) checkInput(context, board, { use, pin, own }, input);
  else if (use.reading.concept.pin?.direction === 'in') checkReader(context, { use, pin, own });
  else checkOutput(context, { use, pin, own });
}

interface Subject {
  readonly use: PinUse;
  readonly pin: BoardPin;
  readonly own: OwnCircuit;
}

const STATES = ['rest', 'pressed'] as const;

function checkInput(context: RuleContext, board: BoardProfile, subject: Subject, input: Input): void {
  const { use, pin, own } = subject;
  const circuit = input.circuit();
  const question = !isCircuit(circuit)
    ? circuit.question
    : circuit.sensor
      ? undefined
      : circuit.sensorQuestion;
  if (question) context.need<unknown>(undefined, use.reading, question);
  if (!isCircuit(circuit) || !circuit.sensor) return;
  const parts = ownParts(board, pin.name, own);
  if ('question' in parts) {
    context.need<unknown>(undefined, use.reading, parts.question);
    return;
  }
  const facts = [...circuit.basis, own.resistance, own.forwardVoltage, own.kind];
  let worst: { severity: Severity; message: string } | undefined;
  for (const { title, parts: added } of parts.states) {
    const loaded = circuit.withParts(added);
    for (const state of STATES) {
      const alone = stateLevel(circuit, state);
      const level = stateLevel(loaded, state);
      // A level that is not clear without the board's part is `inputs/level-undefined`'s business.
      const severity = alone.level === undefined ? undefined : spoiled(alone, level);
      if (!severity || (worst && rank(worst.severity) <= rank(severity))) continue;
      const volts = formatInterval(loaded.solve(state).pin ?? { lo: 0, nom: 0, hi: 0 }, 'voltage');
      worst = { severity, message: inputMessage(subject, input, { title, state, volts, level }) };
    }
  }
  if (!worst) {
    const volts = STATES.map((state) => {
      const most = circuit.withParts(parts.states[0]?.parts ?? []).solve(state).pin;
      return formatInterval(most ?? { lo: 0, nom: 0, hi: 0 }, 'voltage');
    });
    context.agree({
      place: use.reading.place,
      message: `With the board's ${NAMES[own.kind.value]} the pin is at ${volts[0]} at rest and ${volts[1]} pressed: both clear levels`,
      causes: causesOf(context, use.reading.place, facts),
    });
    return;
  }
  report(context, subject, worst.severity, worst.message, facts);
}

const ORDER: readonly Severity[] = ['error', 'warning', 'info', 'hint'];
const rank = (severity: Severity): number => ORDER.indexOf(severity);

/** Undefined or turned round at every corner, or at some. */
function spoiled(alone: StateLevel, level: StateLevel): Severity | undefined {
  if (level.level === alone.level) return undefined;
  if (level.undefinedAt === 'all' || level.level !== undefined) return 'error';
  return 'warning';
}

function inputMessage(
  { own }: Subject,
  input: Input,
  found: { title: string; state: 'rest' | 'pressed'; volts: string; level: StateLevel },
): string {
  const name = `The board's ${NAMES[own.kind.value]}`;
  const when = found.state === 'pressed' ? `when ${input.title} is pressed` : `while ${input.title} is free`;
  if (found.title !== '') {
    const verb = own.kind.value === 'contact' ? 'is' : 'drives';
    const effect = found.level.level
      ? `it reads ${found.level.level} whatever ${input.title} does`
      : 'that is neither low nor high';
    return `${name} hangs on this pin. While it ${verb} ${found.title}, the pin sits at ${found.volts} ${when}: ${effect}.`;
  }
  const may = found.level.undefinedAt === 'some' ? 'may pull' : 'pulls';
  const effect = found.level.level
    ? `that reads ${found.level.level}`
    : found.level.undefinedAt === 'some'
      ? 'not every value is clearly low or high'
      : 'neither low nor high';
  return `${name} hangs on this pin and ${may} it to ${found.volts} ${when}: ${effect}.`;
}

/** A temperature sensor, a knob, a button: whatever else is on the pin is read too. */
function checkReader(context: RuleContext, subject: Subject): void {
  const { use, own } = subject;
  const analog = use.reading.concept.id.endsWith('.sensor.pin');
  const source = own.kind.value === 'contact' || own.kind.value === 'driver';
  const severity: Severity = analog ? 'error' : source ? 'warning' : 'info';
  const effect = analog
    ? 'The temperature that is read would be another than the one that is there.'
    : source
      ? `While it drives the pin, ${deviceWords(use)} cannot be read.`
      : `It loads the pin that reads ${deviceWords(use)}: with a weak pull the level may be neither low nor high.`;
  report(
    context,
    subject,
    severity,
    `The board's ${NAMES[own.kind.value]} hangs on ${use.pin}, which ${actionOf(use)}. ${effect}`,
    [own.kind, own.resistance],
  );
}

/** Two that drive one pin. */
function checkOutput(context: RuleContext, subject: Subject): void {
  const { use, own } = subject;
  const verb =
    own.kind.value === 'contact'
      ? 'While it is closed it holds the pin, and the chip drives against it'
      : 'Both drive it, one against the other';
  const dangerous = isHeater(use) || /^(?:spindle|laser)\./.test(use.reading.concept.id);
  const effect = dangerous
    ? `: ${deviceWords(use)} may be on or off whatever the firmware says.`
    : `: ${deviceWords(use)} may not follow, and the pin may be damaged.`;
  report(
    context,
    subject,
    dangerous ? 'error' : 'warning',
    `The board's ${NAMES[own.kind.value]} hangs on ${use.pin}, which ${actionOf(use)}. ${verb}${effect}`,
    [own.kind, own.resistance],
  );
}

function report(
  context: RuleContext,
  { use, own }: Subject,
  stated: Severity,
  message: string,
  facts: readonly (Fact<unknown> | undefined)[],
): void {
  const { machine } = context;
  const { reading } = use;
  const kind: 'input' | 'output' = reading.concept.pin?.direction === 'in' ? 'input' : 'output';
  const needs = reading.concept.pin?.needs.filter((need) => need !== 'pwm') ?? [];
  const free = freeWords(
    freePins(machine, kind, ({ capabilities }) =>
      needs.every((need) => capabilities?.includes(need) ?? true),
    ),
  );
  const jumper = own.jumper?.value ?? false;
  const note = estimateNote(facts);
  // A jumper may be open already; no file says so.
  const severity = jumper ? lower(stated) : stated;
  context.report({
    severity: note === '' ? severity : atMost(severity, 'warning'),
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: `${message}${jumper ? ' That is so unless its jumper is open.' : ''}${note}`,
    causes: [
      { place: own.place, message: `the board's ${NAMES[own.kind.value]} on ${use.pin}` },
      ...causesOf(context, reading.place, facts),
    ],
    caution: isHeater(use) ? 'A heater that something else can switch heats without control.' : undefined,
    remedies: [
      ...(jumper ? [inWords('Open the jumper, then take the circuit out of the board profile')] : []),
      inWords(
        free
          ? `${capitalised(`plug ${deviceWords(use)}`)} in at a free pin and set it: ${free}`
          : `Move ${deviceWords(use)} to a pin that nothing is tied to`,
      ),
    ],
  });
}
