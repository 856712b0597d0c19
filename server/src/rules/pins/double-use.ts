import { findPin } from '../../board/find';
import type { Axis, Machine, PinUse } from '../../machine/machine';
import { freePins } from '../freePins';
import { capitalised, inWords, listed, setSetting } from '../kit';
import { type Cause, defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { portUsers, type SerialLine, serialLines } from '../serialPorts';
import { actionOf, deviceWords, isHeater, isSamePin, madeForPins, wiredSockets } from '../wiring';

export default defineRule({
  id: 'pins/double-use',
  title: 'One pin, two uses',
  what: 'Two functions use the same pin, serial port or bus address; the lines of a serial port in use count too.',
  why: 'Whatever one of them does happens to the other too.',
  formula: 'users grouped by pin, port, or address on one wire; more than one user that cannot share',
  source: 'exact comparison; which functions can share: common practice',
  severity: ['error', 'warning', 'info'],
  bad: [
    `
    #define FAN_PART_PIN P14
    #define AXIS_Z_ENABLE_PIN P14
                              ^^^ pins/double-use: switches the part fan and also enables the Z motor
    `,
    `
    #define AXIS_X_ENABLE_PIN P8
    #define AXIS_Y_ENABLE_PIN P8
                              ^^ pins/double-use: share
    `,
    `
    #define LINK_HOST_PORT 0
    #define FAN_PART_PIN P1
                         ^^ pins/double-use: transmit line of serial port 0
    //- a.board.json
    { "name": "Example board", "uarts": [{ "port": 0, "receivePin": "P0", "transmitPin": "P1" }] }
    `,
  ],
  good: [
    `
    #define FAN_PART_PIN P14
    #define AXIS_Z_ENABLE_PIN P15
    #define PROBE_PIN NONE
    #define ENDSTOP_Z_LOW_PIN NONE
    `,
  ],
  checks: [reportPins, reportPorts, reportLines, reportAddresses],
});

const CAUTION =
  'A heater that something else switches heats without control. Keep it unplugged until this is clear.';

function reportPins(context: RuleContext): void {
  for (const users of usersOfPins(context.machine)) reportPin(context, users);
}

function usersOfPins(machine: Machine): PinUse[][] {
  const groups: PinUse[][] = [];
  for (const use of machine.pinUses) {
    const group = groups.find(([first]) => first && isSamePin(machine, first.pin, use.pin));
    if (group) group.push(use);
    else groups.push([use]);
  }
  return groups.filter(({ length }) => length > 1);
}

function reportPin(context: RuleContext, users: readonly PinUse[]): void {
  const { machine } = context;
  const last = users.at(-1);
  if (!last) return;
  const others = users.slice(0, -1);
  const shared = waysToShare(machine, users);
  const heater = users.some(isHeater);
  const at = {
    place: last.reading.place,
    concept: last.reading.concept.id,
    root: last.reading.place,
    causes: others.map(({ reading, pin, title }) => ({
      place: reading.place,
      message: `${pin} is also the pin of ${title}`,
    })),
  };
  if (shared !== undefined) {
    context.report({
      ...at,
      severity: 'info',
      message: `${capitalised(listed(users.map(({ title }) => title)))} share ${last.pin}. ${shared}`,
    });
    return;
  }
  const [first] = others;
  const actions = users.map(actionOf);
  const told =
    users.length === 2
      ? `${last.pin} ${actions[0]} and also ${actions[1]}.`
      : `${last.pin} ${listed(actions)}.`;
  context.report({
    ...at,
    severity: 'error',
    message: `${told} ${first ? consequence(first, last) : ''}`.trimEnd(),
    remedies: [
      ...moves(context, users),
      inWords(`Take ${last.pin} away from ${listed(users.map(deviceWords), 'or')}`),
    ],
    caution: heater ? CAUTION : undefined,
  });
}

/** Why this sharing can be meant, in a sentence; nothing when it cannot. */
function waysToShare(machine: Machine, users: readonly PinUse[]): string | undefined {
  const ids = users.map(({ reading }) => reading.concept.id);
  const all = (pattern: RegExp) => ids.every((id) => pattern.test(id));
  const parts = new Set(users.map(({ part }) => part));
  if (machine.board && users[0] && findPin(machine.board, users[0].pin)?.shareable?.value) {
    return 'The board profile says that this pin can be shared.';
  }
  if (all(/^axis\.[^.]+\.(?:second)?enablepin$/i)) return sharedEnable(machine, parts);
  if (all(/\.(?:stepPin|secondStepPin)$/) && parts.size === 1)
    return 'Both motors of this axis get the same steps.';
  if (all(/\.(?:directionPin|secondDirectionPin)$/) && parts.size === 1)
    return 'Both motors of this axis turn together.';
  if (all(/\.driverUartPin$/)) return 'Drivers on one wire need an address each.';
  if (all(/^(?:probe\.pin|endstop\.z\.low\.pin)$/)) return 'The probe then is the Z endstop.';
  // Both switches of an axis on one input is a common way of wiring, and safe as long as one of them is enough to stop it.
  if (
    all(/^(?:axis|endstop)\.([^.]+)\.(?:stallPin|(?:low|high)\.pin)$/) &&
    new Set(ids.map((id) => id.split('.')[1])).size === 1
  ) {
    return 'Either of them stops the axis; the firmware cannot tell which.';
  }
  if (all(/^fan\..*\.pin$/)) return 'Both fans run together.';
  if (all(/^lamp\b/)) return 'Both lamps light together.';
  return undefined;
}

function sharedEnable(machine: Machine, parts: ReadonlySet<string>): string | undefined {
  const levels = new Set(
    [...parts].flatMap((part) => machine.settings.choice(`${part}.enableActiveLevel`)?.value ?? []),
  );
  if (levels.size > 1) return undefined;
  const [level] = levels;
  return level
    ? `That works: they switch on at the same level, ${level}.`
    : 'That works as long as they switch on at the same level.';
}

function consequence(first: PinUse, second: PinUse): string {
  const inputs = [first, second].filter(({ reading }) => reading.concept.pin?.direction === 'in');
  const outputs = [first, second].filter(({ reading }) => reading.concept.pin?.direction !== 'in');
  if (inputs.length === 2) return 'The firmware cannot tell one from the other.';
  const [input] = inputs;
  const [output] = outputs;
  if (input && output) return `The pin cannot read ${input.title} while it drives ${output.title}.`;
  const enable = [first, second].find(({ reading }) => /enablepin$/i.test(reading.concept.id));
  const other = enable === first ? second : first;
  if (enable && /enablepin$/i.test(other.reading.concept.id))
    return 'They switch on at different levels, so one is on while the other is off.';
  if (enable)
    return `Turning ${deviceWords(other)} on will release or lock ${enable.part.split('.')[1]?.toUpperCase()}.`;
  const heater = [first, second].find(isHeater);
  if (heater)
    return `${capitalised(deviceWords(heater))} would be heated by whatever ${deviceWords(heater === first ? second : first)} does.`;
  return 'Whatever moves or switches one does the same to the other.';
}

/** Pins that the sheet's wiring gives; for fans, lamps and inputs also free sockets of the same kind. */
function moves(context: RuleContext, users: readonly PinUse[]): Remedy[] {
  const { machine } = context;
  const wired = users.flatMap((use) =>
    wiredSockets(machine, use)
      .filter(({ pin }) => !isSamePin(machine, pin.value, use.pin) && isFree(machine, pin.value))
      .flatMap(({ pin, socket }) =>
        setSetting(
          context,
          use.reading,
          { pin: pin.value },
          {
            title: `Use ${pin.value} for ${deviceWords(use)}: it is in ${socket.value} by the machine sheet`,
          },
        ),
      ),
  );
  if (wired.length > 0) return wired;
  const meant = users.flatMap((use) =>
    madeForPins(machine, use)
      .filter(({ pin }) => isFree(machine, pin))
      .flatMap(({ pin, socket }) =>
        setSetting(
          context,
          use.reading,
          { pin },
          {
            title: `Use ${pin}${socket === pin ? '' : ` (${socket})`} for ${deviceWords(use)}, which the board has for it`,
          },
        ),
      ),
  );
  if (meant.length > 0) return meant;
  const movable = users.findLast(({ reading }) => /^(?:fan|lamp)\.|^endstop\./.test(reading.concept.id));
  if (!movable) return [];
  const kind = movable.reading.concept.pin?.direction === 'in' ? 'input' : 'output';
  return freePins(machine, kind)
    .slice(0, 3)
    .flatMap(({ pin, socket }) =>
      setSetting(
        context,
        movable.reading,
        { pin: pin.name },
        { title: `Move ${deviceWords(movable)} to ${pin.name} (${socket}) and plug it in there` },
      ),
    );
}

const isFree = (machine: Machine, pin: string): boolean =>
  !machine.pinUses.some((use) => isSamePin(machine, use.pin, pin));

/** A link owns its port; drivers may share one among themselves. */
function reportPorts(context: RuleContext): void {
  const users = portUsers(context.machine);
  for (const port of new Set(users.map((user) => user.port))) {
    const own = users.filter((user) => user.port === port);
    const last = own.at(-1);
    if (!last || own.length < 2 || own.every(({ driver }) => driver)) continue;
    context.report({
      severity: 'error',
      place: last.reading.place,
      message: `Serial port ${port} is used by ${listed(own.map(({ title }) => title))}. Each would get the other's bytes.`,
      concept: last.reading.concept.id,
      root: last.reading.place,
      causes: own
        .slice(0, -1)
        .map(({ reading, title }): Cause => ({ place: reading.place, message: `port of ${title}` })),
      remedies: [inWords('Give each of them a port of its own')],
    });
  }
}

function reportLines(context: RuleContext): void {
  for (const line of serialLines(context.machine)) reportLine(context, line);
}

/** A pin of a serial port that is in use, given to something else. */
function reportLine(context: RuleContext, { use, users, uart, signal, pin }: SerialLine): void {
  const port = uart.port.value;
  const line = signal === 'receive' ? 'receive line' : 'transmit line';
  const reads = use.reading.concept.pin?.direction === 'in';
  const effect = reads
    ? 'It would read the bytes of the port.'
    : signal === 'receive'
      ? 'Nothing can be received while this pin is driven.'
      : `It would follow every byte that is sent.`;
  context.report({
    severity: 'error',
    place: use.reading.place,
    message: `${use.pin} is the ${line} of serial port ${port}, which ${listed(users.map(({ title }) => title))} ${users.length > 1 ? 'use' : 'uses'}, and also ${actionOf(use)}. ${effect}`,
    concept: use.reading.concept.id,
    root: use.reading.place,
    causes: [
      ...users.map(({ reading, title }): Cause => ({ place: reading.place, message: `port of ${title}` })),
      ...context.cause(pin, `${line} of port ${port}`),
    ],
    remedies: [
      ...moves(context, [use]),
      inWords(`Take ${use.pin} away from ${deviceWords(use)}, or choose another port`),
    ],
    caution: isHeater(use) ? CAUTION : undefined,
  });
}

/** Two drivers with one address on one wire. */
function reportAddresses(context: RuleContext): void {
  const { axes, settings } = context.machine;
  const wires = new Map<string, Axis[]>();
  for (const axis of axes) {
    const address = axis.number('driverAddress');
    const wire = axis.number('driverPort')?.value.nom ?? axis.pin('driverUartPin')?.value;
    if (!address || wire === undefined) continue;
    const key = `${wire}:${address.value.nom}`;
    wires.set(key, [...(wires.get(key) ?? []), axis]);
  }
  for (const group of wires.values()) {
    const last = group.at(-1);
    const reading = last && settings.reading(`${last.id}.driverAddress`);
    if (!last || !reading || group.length < 2) continue;
    const [severity, effect] = addressEffect(group);
    context.report({
      severity,
      place: reading.place,
      message: `The drivers of ${listed(group.map(({ title }) => title))} have the same address, ${last.number('driverAddress')?.value.nom}, on one wire. ${effect}`,
      concept: reading.concept.id,
      root: reading.place,
      causes: group.slice(0, -1).flatMap((axis) => context.cause(axis.number('driverAddress'))),
    });
  }
}

function addressEffect(group: readonly Axis[]): [Severity, string] {
  const readBack = group.map(({ drivers }) => drivers[0]?.readBack?.value);
  if (readBack.every((value) => value === false))
    return ['info', 'They are only written to, so they all take the same settings.'];
  if (readBack.some((value) => value === true))
    return ['error', 'When one is asked, all answer at once and none is understood.'];
  return ['warning', 'If the firmware reads them back, all answer at once and none may be understood.'];
}
