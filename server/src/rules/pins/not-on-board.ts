import { findChipPin, findPin } from '../../board/find';
import type { BoardProfile } from '../../board/profile';
import type { PinUse } from '../../machine/machine';
import { causesOf, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { deviceWords, isTaken, madeForPins, wiredSockets } from '../wiring';

export default defineRule({
  id: 'pins/not-on-board',
  title: 'Pin that is not there',
  what: 'A pin does not exist on the microcontroller, or the board leads it nowhere.',
  why: 'Nothing is connected to it: the device never moves, heats or reads.',
  formula: 'pin ∈ pins of the microcontroller, and pin ∈ pins led out on this board',
  source: 'the board profile and the data sheet of the chip, exact comparison',
  severity: ['error', 'warning'],
  bad: [
    `
    #define FAN_PART_PIN PK9
                         ^^^ pins/not-on-board: PK9 does not exist on this microcontroller
    //- a.board.json
    { "name": "Example board", "chip": "atmega1284p", "pins": { "PB4": {} } }
    `,
    `
    #define FAN_PART_PIN PB3
                         ^^^ pins/not-on-board: leads it nowhere
    //- a.board.json
    { "name": "Example board", "chip": "atmega1284p", "pins": { "PB4": {} } }
    `,
  ],
  good: [
    `
    #define FAN_PART_PIN PB4
    //- a.board.json
    { "name": "Example board", "chip": "atmega1284p", "pins": { "PB4": {} } }
    `,
  ],
  check(context) {
    const { board, pinUses } = context.machine;
    for (const use of pinUses) {
      if (board) checkUse(context, board, use);
      else
        context.need(
          undefined,
          use.reading,
          'Add a board profile (board in fettle.json) and I can check that this pin exists',
        );
    }
  },
});

function checkUse(context: RuleContext, board: BoardProfile, use: PinUse): void {
  const { pin, reading } = use;
  const at = {
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    remedies: listedPin(context, use),
  };
  const found = findPin(board, pin);
  if (found) {
    const where = use.output?.name ?? use.driver?.name ?? use.connector?.name;
    context.agree({
      place: reading.place,
      message: where ? `${pin} is led to ${where}` : `${pin} is on this board`,
      causes: causesOf(context, reading.place, [
        { value: pin, place: found.place, quality: 'stated', label: `pin ${found.name} (board profile)` },
      ]),
    });
    return;
  }
  // A profile that lists no pins at all says nothing about this one.
  if (board.pins.size === 0) {
    context.need(
      undefined,
      reading,
      `Add the pins that the board leads out (pins, connectors, outputs, drivers) to the board profile and I can check that ${pin} is one of them`,
    );
    return;
  }
  const chip = board.chip?.title;
  // A profile without a single part of this kind is unfinished; it does not say that the board has none.
  const section = listsPins(board) ? undefined : missingSection(board, use.part);
  if (section && (findChipPin(board, pin) || !cannotExist(board, pin))) {
    context.need(
      undefined,
      reading,
      `Add the board's ${section} ("${section}") to the board profile and I can check that ${pin} leads to one of them`,
    );
    return;
  }
  if (findChipPin(board, pin)) {
    context.report({
      ...at,
      severity: 'warning',
      message: `${pin} exists on ${chip ?? 'the microcontroller'}, but the board profile leads it nowhere: ${deviceWords(use)} would be joined to nothing. It may be a pad that the profile forgot.`,
    });
    return;
  }
  if (cannotExist(board, pin)) {
    context.report({
      ...at,
      severity: 'error',
      message: `${pin} does not exist on this microcontroller${chip ? `, ${chip}` : ''}. Nothing will be connected to it: ${deviceWords(use)} cannot work.`,
    });
    return;
  }
  context.report({
    ...at,
    severity: 'warning',
    message: `The board profile has no pin ${pin}, so ${deviceWords(use)} may be joined to nothing. It may be a pin that the profile forgot.`,
  });
}

/** Whether the profile lists pins by themselves, and not only those that its parts lead to. */
function listsPins({ pins, connectors, outputs, drivers, uarts }: BoardProfile): boolean {
  const facts = [
    ...[...connectors.values()].flatMap(({ pin, contacts }) => [pin, ...contacts.values()]),
    ...[...outputs.values()].map(({ pin }) => pin),
    ...[...drivers.values()].flatMap((driver) => [driver.stepPin, driver.directionPin, driver.enablePin]),
    ...uarts.flatMap(({ receivePin, transmitPin }) => [receivePin, transmitPin]),
  ];
  const led = new Set(facts.map((fact) => fact?.value.toUpperCase()));
  return [...pins.keys()].some((name) => !led.has(name));
}

/** The section of the profile in which this part's pin would stand, when the profile has nothing there. */
function missingSection(board: BoardProfile, part: string): 'outputs' | 'connectors' | 'drivers' | undefined {
  if (/^axis\./.test(part)) return board.drivers.size === 0 ? 'drivers' : undefined;
  if (/^fan\./.test(part)) return board.outputs.size === 0 ? 'outputs' : undefined;
  if (/^(?:tool\.\d+|bed|chamber)$/.test(part))
    return board.outputs.size === 0 && board.connectors.size === 0 ? 'outputs' : undefined;
  return /^(?:endstop|probe|door)\b/.test(part) && board.connectors.size === 0 ? 'connectors' : undefined;
}

/**
 * Whether a pin that neither profile nor chip data know is certainly absent. It is when the chip's pins are known and this name is one
 * of theirs by its form, or when it lies beyond the highest number of a numbering that the profile uses. A gap in a numbering may be a
 * pin that the profile forgot.
 */
function cannotExist(board: BoardProfile, pin: string): boolean {
  const chipNames = [...(board.chip?.pins?.keys() ?? [])];
  if (chipNames.some((name) => formOf(name) === formOf(pin))) return true;
  if (chipNames.length === 0) return false;
  const own = [...board.pins.values()].filter((known) => known.chipPin).map(({ name }) => splitNumber(name));
  const { prefix, number } = splitNumber(pin);
  const highest = Math.max(...own.filter((known) => known.prefix === prefix).map((known) => known.number));
  return Number.isFinite(highest) && number > highest && own.length >= chipNames.length / 2;
}

/** 'PB12' and 'PK9' have one form, 'P12' has another. */
const formOf = (name: string): string => name.toUpperCase().replace(/\d+/g, '#').replace(/[A-Z]/g, 'A');

function splitNumber(name: string): { prefix: string; number: number } {
  const [, prefix = name, digits = ''] = /^(.*?)(\d+)$/.exec(name.toUpperCase()) ?? [];
  return { prefix, number: digits === '' ? Number.NaN : Number(digits) };
}

/** The pin of the socket where the sheet has this device, else the one that the board's maker meant for it. */
function listedPin(context: RuleContext, use: PinUse): Remedy[] {
  const { machine } = context;
  const wired = wiredSockets(machine, use).map(({ pin, socket }) => ({
    pin: pin.value,
    title: `Use ${pin.value}, the pin of ${socket.value}, where the machine sheet has it`,
  }));
  const meant = madeForPins(machine, use).map(({ pin, socket }) => ({
    pin,
    title: `Use ${pin}${socket === pin ? '' : ` (${socket})`}, which the board has for this`,
  }));
  return (wired.length > 0 ? wired : meant)
    .filter(({ pin }) => !isTaken(machine, use, pin))
    .slice(0, 2)
    .flatMap(({ pin, title }) => setSetting(context, use.reading, { pin }, { title }));
}
