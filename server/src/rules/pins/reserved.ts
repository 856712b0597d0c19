import { findChipPin, isPin } from '../../board/find';
import type { BoardProfile, ReservedUse } from '../../board/profile';
import { isCircuit, outputAtReset } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import { portOfLink, usesRate } from '../../machine/links';
import type { PinUse } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import type { InputSolution } from '../../physics/inputCorners';
import { levelOf } from '../../physics/logic';
import { formatInterval } from '../../units';
import { freePins, freeWords } from '../freePins';
import { atMost, capitalised, causesOf, estimateNote, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { deviceWords, isHeater, isSamePin, isTaken, madeForPins, wiredSockets } from '../wiring';

export default defineRule({
  id: 'pins/reserved',
  title: 'Pin that the chip needs for itself',
  what: 'A pin is used that carries the clock, external memory or USB, is read at reset to choose how to start, or serves the debugger.',
  why: 'The board does not start, loses its USB, or cannot be debugged.',
  formula:
    'pin ∈ reserved pins; for a pin that is read at reset: the level that its wiring gives while the chip resets, against the level it needs to start',
  source: 'microcontroller data sheets; nodal analysis of the input at reset',
  severity: ['error', 'warning', 'info'],
  bad: [
    `
    #define FAN_PART_PIN PD0
                         ^^^ pins/reserved: carries the clock
    //- a.board.json
    { "name": "Example board", "chip": "stm32f103", "crystal": "8 MHz", "pins": { "PD0": {} } }
    `,
  ],
  good: [
    `
    #define FAN_PART_PIN PB0
    //- a.board.json
    { "name": "Example board", "chip": "stm32f103", "crystal": "8 MHz", "pins": { "PB0": {} } }
    `,
  ],
  check(context) {
    const { board, pinUses } = context.machine;
    if (!board) return;
    for (const use of pinUses) checkUse(context, board, use);
  },
});

function reservationOf(board: BoardProfile, use: PinUse): Fact<ReservedUse> | undefined {
  const chip = findChipPin(board, use.pin)?.reservedFor;
  return (
    use.boardPin?.reservedFor ??
    (chip && { value: chip, quality: 'datasheet', label: `use of pin ${use.pin} (data sheet)` })
  );
}

const isMadeFor = ({ machine }: RuleContext, board: BoardProfile, use: PinUse): boolean =>
  madeForPins(machine, use).some(({ pin }) => isPin(board, pin, use.pin));

/** The profile gives the pin to this part, or it leads a pin out that only the chip's data call reserved. */
function isGiven(
  context: RuleContext,
  board: BoardProfile,
  use: PinUse,
  reserved: Fact<ReservedUse>,
): boolean {
  const { machine } = context;
  if (isMadeFor(context, board, use)) return true;
  if (wiredSockets(machine, use).some(({ pin }) => isSamePin(machine, pin.value, use.pin))) {
    return !reserved.place;
  }
  return !reserved.place && Boolean(use.connector ?? use.output ?? use.driver);
}

function checkUse(context: RuleContext, board: BoardProfile, use: PinUse): void {
  const reserved = reservationOf(board, use);
  if (!reserved) return;
  if (reserved.value === 'boot') {
    if (!isMadeFor(context, board, use)) checkStrap(context, board, use, reserved);
    return;
  }
  const usb = reserved.value === 'usb' ? usbInUse(context, board) : undefined;
  if (reserved.value === 'usb' && usb !== 'yes') {
    if (usb === 'unknown')
      context.need<unknown>(
        undefined,
        use.reading,
        `Add the serial port of the link (link.host.port) to the settings: ${use.pin} is a line of native USB.`,
      );
    return;
  }
  if (reserved.value !== 'usb' && isGiven(context, board, use, reserved)) return;
  const found = verdict(board, use, reserved.value);
  if (!found) return;
  report(context, use, reserved, found.severity, found.message, [board.crystal, board.clockSource]);
}

function usbInUse({ machine }: RuleContext, board: BoardProfile): 'yes' | 'no' | 'unknown' {
  if (!board.uarts.some(({ kind }) => kind?.value === 'nativeUsb')) return 'no';
  if (machine.links.some((link) => portOfLink(board, link)?.kind?.value === 'nativeUsb')) return 'yes';
  return machine.links.length === 0 || machine.links.some((link) => usesRate(board, link) === undefined)
    ? 'unknown'
    : 'no';
}

function verdict(
  board: BoardProfile,
  use: PinUse,
  reserved: ReservedUse,
): { readonly severity: Severity; readonly message: string } | undefined {
  const device = deviceWords(use);
  switch (reserved) {
    case 'clock': {
      // Without a crystal its pins are free.
      if (board.clockSource?.value === 'internal') return undefined;
      const sure = board.crystal ?? board.clockSource;
      return {
        severity: sure ? 'error' : 'warning',
        message: `${use.pin} carries the clock${sure ? '' : ', unless this board runs on its inner one'}. With ${device} on it the chip ${sure ? 'does' : 'may'} not start, or ${device} ${sure ? 'does' : 'may'} nothing.`,
      };
    }
    case 'memory':
      return {
        severity: 'error',
        message: `${use.pin} carries the program memory. With ${device} on it the chip does not start.`,
      };
    case 'usb':
      return {
        severity: 'error',
        message: `${use.pin} is a line of native USB, which a link uses. With ${device} on it the computer loses the board.`,
      };
    case 'debug':
      return {
        severity: 'info',
        message: `${use.pin} is a line of the debugger. ${capitalised(device)} works on it once the firmware runs; the debugger then does not, and until the firmware sets the pin a pull of the chip may hold it.`,
      };
    case 'other':
      return {
        severity: 'warning',
        message: `The board needs ${use.pin} for something else. With ${device} on it both may fail.`,
      };
    case 'boot':
      return undefined;
  }
}

/** A pin that is read at reset: the level that what is plugged in gives it, in each of its states. */
function checkStrap(
  context: RuleContext,
  board: BoardProfile,
  use: PinUse,
  reserved: Fact<ReservedUse>,
): void {
  const { boardPin, reading } = use;
  const strap = context.need(
    boardPin?.strapLevel,
    reading,
    `${use.pin} is read at reset. Add the level that it must have then ("pins.${use.pin}.strapLevel") to the board profile.`,
  );
  const reset = context.need(
    boardPin?.resetState,
    reading,
    `Add what holds ${use.pin} at reset ("pins.${use.pin}.resetState") to the board profile.`,
  );
  if (!strap || !reset || !boardPin) return;
  const facts: (Fact<unknown> | undefined)[] = [strap, reset];
  const input = context.machine.inputs.find(({ id }) => reading.concept.id === `${id}.pin`);
  const cases: { when: string; level: 'low' | 'high' | 'undefined'; volts: string }[] = [];
  if (input) {
    const circuit = input.circuit();
    if (!isCircuit(circuit) || !circuit.sensor) {
      const question = isCircuit(circuit) ? circuit.sensorQuestion : circuit.question;
      if (question) context.need<unknown>(undefined, reading, question);
      return;
    }
    const atReset = circuit.atReset(reset.value);
    facts.push(...circuit.basis);
    for (const state of ['rest', 'pressed'] as const) {
      cases.push({
        when: state === 'rest' ? `while ${input.title} is free` : `if ${input.title} is pressed at power-up`,
        level: stateLevel(atReset, state).level ?? 'undefined',
        volts: voltsOf(atReset.solve(state)),
      });
    }
  } else {
    const solved = use.output && outputLevel(context, board, use);
    if (!solved) {
      report(
        context,
        use,
        reserved,
        'info',
        `${use.pin} is read at reset and must be ${strap.value} then. Whatever ${deviceWords(use)} hangs on must not hold it ${strap.value === 'low' ? 'high' : 'low'}, or the board stays in its loader.`,
        facts,
      );
      return;
    }
    facts.push(use.output?.gatePullDown);
    cases.push({ when: `with the resistor of ${use.output?.name}`, ...solved });
  }
  const wrong = cases.filter(({ level }) => level !== strap.value);
  const [worst] = wrong;
  if (!worst) {
    const levels = cases.map(({ volts }) => volts).join(' and ');
    context.agree({
      place: reading.place,
      message: `${use.pin} is read at reset; its wiring gives ${levels} then, which is ${strap.value} as it must be`,
      causes: causesOf(context, reading.place, facts),
    });
    return;
  }
  // In every state of the switch, or only while it is pressed.
  const always = wrong.length === cases.length;
  const is =
    worst.level === 'undefined'
      ? worst.volts === ''
        ? 'nothing holds it'
        : `it is at ${worst.volts}, neither low nor high`
      : `it is ${worst.level} (${worst.volts})`;
  const certain = worst.level !== 'undefined';
  report(
    context,
    use,
    reserved,
    'warning',
    `${use.pin} is read at reset and must be ${strap.value} for the firmware to start. ${capitalised(always && cases.length > 1 ? 'pressed or not' : worst.when)}, ${is}: the board ${certain ? 'stays' : 'may stay'} in its loader and looks dead.`,
    facts,
  );
}

const voltsOf = ({ pin }: InputSolution): string => (pin ? formatInterval(pin, 'voltage') : '');

function outputLevel(
  { machine }: RuleContext,
  board: BoardProfile,
  { boardPin, output }: PinUse,
): { level: 'low' | 'high' | 'undefined'; volts: string } | undefined {
  const [logic, vil, vih] = [machine.logicVoltage, board.chip?.vil, board.chip?.vih];
  const gate = output?.inverting?.value ? undefined : output?.gatePullDown?.value;
  if (!boardPin?.resetState || !logic || !vil || !vih || !gate) return undefined;
  const solution = outputAtReset(board, boardPin, boardPin.resetState.value, logic.value, gate);
  const levels = new Set(
    solution.corners.map(({ floating, pin }) =>
      floating ? 'undefined' : levelOf(pin, { vil: vil.value.nom, vih: vih.value.nom }),
    ),
  );
  const [level] = levels;
  return {
    level: levels.size === 1 && level ? level : 'undefined',
    volts: voltsOf(solution),
  };
}

function report(
  context: RuleContext,
  use: PinUse,
  reserved: Fact<ReservedUse>,
  severity: Severity,
  message: string,
  facts: readonly (Fact<unknown> | undefined)[],
): void {
  const { reading } = use;
  const note = estimateNote(facts);
  context.report({
    severity: note === '' ? severity : atMost(severity, 'warning'),
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: message + note,
    causes: causesOf(context, reading.place, [reserved, ...facts]),
    caution: isHeater(use) ? 'Keep the heater unplugged until this is clear.' : undefined,
    remedies: remedies(context, use),
  });
}

function remedies(context: RuleContext, use: PinUse): Remedy[] {
  const { machine } = context;
  const wired = wiredSockets(machine, use).filter(
    ({ pin }) => !isSamePin(machine, pin.value, use.pin) && !isTaken(machine, use, pin.value),
  );
  const edits = wired.flatMap(({ pin, socket }) =>
    setSetting(
      context,
      use.reading,
      { pin: pin.value },
      { title: `Use ${pin.value}, the pin of ${socket.value}, where the machine sheet has it` },
    ),
  );
  if (edits.length > 0) return edits;
  const needs = use.reading.concept.pin?.needs.filter((need) => need !== 'pwm') ?? [];
  const kind: 'input' | 'output' = use.reading.concept.pin?.direction === 'in' ? 'input' : 'output';
  const free = freeWords(
    freePins(machine, kind, ({ capabilities }) =>
      needs.every((need) => capabilities?.includes(need) ?? true),
    ),
  );
  return [
    inWords(
      free
        ? `Plug ${deviceWords(use)} in at a free pin and set it: ${free}`
        : `Move ${deviceWords(use)} to another pin`,
    ),
  ];
}
