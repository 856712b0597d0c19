import type { PinUse } from '../../machine/machine';
import { capitalised, causesOf, listed, remedy, setFact, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import {
  deviceIn,
  deviceTitle,
  deviceWords,
  isDangerous,
  isSamePin,
  socketOf,
  type Wired,
  wiredSockets,
} from '../wiring';

export default defineRule({
  id: 'pins/wiring-disagrees',
  title: 'Pin of another socket',
  what: 'The pin in the settings belongs to another socket than the one the device is plugged in.',
  why: 'The firmware drives or reads something else than it believes.',
  formula: 'pin(settings, device) = pin(board, connector(machine, device))',
  source: 'the board profile and the machine sheet, exact comparison',
  severity: ['error', 'warning'],
  caution: 'A heater on the wrong output heats without its own sensor. Unplug heaters until this is clear.',
  bad: [
    `
    #define FAN_PART_PIN PB4
                         ^^^ pins/wiring-disagrees: your part fan is in OUT3
    //- a.board.json
    {
      "name": "Example board",
      "chip": "atmega1284p",
      "outputs": { "OUT2": { "pin": "PB4" }, "OUT3": { "pin": "PB3" } }
    }
    //- a.machine.json
    {
      "name": "Example machine",
      "fans": { "part": { "role": "fan.part", "output": "OUT3" }, "cold": { "role": "fan.tool.0", "output": "OUT2" } }
    }
    `,
  ],
  good: [
    `
    #define FAN_PART_PIN PB3
    //- a.board.json
    {
      "name": "Example board",
      "chip": "atmega1284p",
      "outputs": { "OUT2": { "pin": "PB4" }, "OUT3": { "pin": "PB3" } }
    }
    //- a.machine.json
    {
      "name": "Example machine",
      "fans": { "part": { "role": "fan.part", "output": "OUT3" }, "cold": { "role": "fan.tool.0", "output": "OUT2" } }
    }
    `,
  ],
  check(context) {
    for (const use of context.machine.pinUses) checkUse(context, use);
  },
});

function checkUse(context: RuleContext, use: PinUse): void {
  const { machine } = context;
  const { reading, pin } = use;
  const sockets = wiredSockets(machine, use);
  if (sockets.length === 0) {
    if (machine.board && asks(use)) {
      context.need(
        undefined,
        reading,
        `Add the socket that ${deviceWords(use)} is in to the machine sheet${keyFor(use)}, and the socket's pin to the board profile, and I can check this pin`,
      );
    }
    return;
  }
  const right = sockets.find((socket) => isSamePin(machine, socket.pin.value, pin));
  if (right) {
    context.agree({
      place: reading.place,
      message: `${pin} is the pin of ${right.socket.value}, where the machine sheet has ${deviceWords(use)}`,
      causes: causesOf(context, reading.place, [right.pin, right.socket]),
    });
    return;
  }
  reportUse(context, use, sockets);
}

function reportUse(context: RuleContext, use: PinUse, sockets: readonly Wired[]): void {
  const { machine } = context;
  const { reading, pin } = use;
  const driven = socketOf(use);
  const other = driven === undefined ? undefined : deviceIn(machine, driven);
  const names = listed([...new Set(sockets.map(({ socket }) => socket.value))], 'or');
  const reads = reading.concept.pin?.direction === 'in';
  const verb = reads ? 'reads' : 'drives';
  const where = driven === undefined ? `pin ${pin}` : `${driven} (pin ${pin})`;
  const owner = deviceWords(use).replace(/^the /, 'your ');
  const effect =
    other && other.part !== use.part
      ? ` ${capitalised(driven ?? pin)} holds ${other.title}: ${consequence(use, other.part)}`
      : '';
  const only = sockets.length === 1 ? sockets[0] : undefined;
  context.report({
    severity: isDangerous(use.part) || (other && isDangerous(other.part)) ? 'error' : 'warning',
    place: reading.place,
    message: `The firmware ${verb} ${where} for ${deviceWords(use)}, but ${owner} is in ${names} (pin ${listed([...new Set(sockets.map((one) => one.pin.value))], 'or')}).${effect}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [
      ...sockets.flatMap((one) => [one.socket, one.pin]),
      other?.fact,
    ]),
    remedies: [
      ...swap(context, use, only),
      // A pin that something else has already would only be taken twice.
      ...sockets
        .filter(
          (one) =>
            !machine.pinUses.some((other) => other !== use && isSamePin(machine, other.pin, one.pin.value)),
        )
        .flatMap((one) =>
          setSetting(
            context,
            reading,
            { pin: one.pin.value },
            { title: `Use ${one.pin.value}, the pin of ${one.socket.value}` },
          ),
        ),
      ...(only && driven !== undefined && !other
        ? setFact(only.socket, driven, `${deviceTitle(use)} is in ${driven}: correct the machine sheet`)
        : []),
    ],
  });
}

function consequence(use: PinUse, other: string): string {
  if (use.reading.concept.pin?.direction === 'in') return 'that is what the firmware would read.';
  if (other.startsWith('fan.tool.'))
    return 'the fan that keeps the cold side cold would follow another command and could stop.';
  if (/^(?:tool\.|bed)/.test(other)) return 'it would heat without being watched by its own sensor.';
  if (other.startsWith('axis.')) return 'another motor would move.';
  return 'that is what would be switched instead.';
}

/** Parts for which the sheet has a place to say where they are plugged in. */
const asks = (use: PinUse): boolean =>
  /^(?:axis\.[^.]+\.(?:step|direction|enable)Pin|endstop\.|probe\.pin|fan\..*pin|(?:tool\.\d+|bed)\.(?:heater|sensor)\.pin)/.test(
    use.reading.concept.id,
  ) && !use.reading.concept.id.endsWith('tachPin');

function keyFor(use: PinUse): string {
  const id = use.reading.concept.id;
  if (id.startsWith('axis.')) return ` (axes.${id.split('.')[1]}.motors[].connector)`;
  if (id.startsWith('fan.')) return ` (fans, "output" with role "${use.part}")`;
  if (id.endsWith('.heater.pin')) return ` (heaters, "output" with zone "${use.part}")`;
  if (id.endsWith('.sensor.pin')) return ` (temperatureSensors, "connector" with zone "${use.part}")`;
  return ` (sensors, "connector" of the one that watches "${use.part}")`;
}

/** When the right pin is given to a device that itself belongs elsewhere, both are set at once. */
function swap(context: RuleContext, use: PinUse, right: Wired | undefined): Remedy[] {
  const { machine } = context;
  const other =
    right && machine.pinUses.find((one) => one !== use && isSamePin(machine, one.pin, right.pin.value));
  const [home, ...more] = other ? wiredSockets(machine, other) : [];
  if (!right || !other || !home || more.length > 0 || isSamePin(machine, home.pin.value, other.pin))
    return [];
  const edits = [
    machine.settings.edit(use.reading, { pin: right.pin.value }),
    machine.settings.edit(other.reading, { pin: home.pin.value }),
  ];
  const [first, second] = edits;
  if (!first || !second) return [];
  const title = `Use ${right.pin.value} for ${deviceWords(use)} and ${home.pin.value} for ${deviceWords(other)}, as the machine sheet has them`;
  return [remedy(title, [first, second])];
}
