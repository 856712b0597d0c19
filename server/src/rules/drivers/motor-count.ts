import { isPin } from '../../board/find';
import type { DriverSocket } from '../../board/profile';
import { axisMotors, socketOfMotor } from '../../machine/axisMotors';
import { axisCurrent } from '../../machine/driverCurrent';
import type { Axis } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { over } from '../../model/interval';
import type { Place } from '../../model/place';
import { formatInterval, formatQuantity } from '../../units';
import { dutiesOf, torqueOf, torquesAt } from '../axisTorque';
import { aboutDriver } from '../currents';
import { causesOf, inWords, listed, remedy } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const example = (second: string, mark = '') => `
//- settings.h
#define AXIS_Z_STEP_PIN PC0${mark}
${second}
//- a.board.json
{
  "name": "Example board",
  "drivers": {
    "Z": { "stepPin": "PC0", "connector": "MZ" },
    "E": { "stepPin": "PC2", "connector": "ME" }
  },
  "connectors": { "MZ": { "kind": "motor" }, "ME": { "kind": "motor" } }
}
//- a.machine.json
{
  "name": "Example machine",
  "motors": { "lift": {} },
  "axes": { "z": { "motors": [{ "motor": "lift", "connector": "MZ" }, { "motor": "lift", "connector": "ME" }] } }
}`;

export default defineRule({
  id: 'drivers/motor-count',
  title: 'Motors and drivers do not go up',
  what: 'Compares the motors on the machine sheet with the drivers that the settings step, and says what motors on one driver get.',
  why: 'A motor without a driver is dragged along; two motors in parallel on one driver get half the current each.',
  formula:
    'one driver for each motor, or joined: in parallel I/n each and the torque of one driver, in series I each but n times R, L and back-EMF',
  source:
    'stepping-motor textbooks (two-phase windings in parallel and in series); counts are compared exactly',
  severity: ['error', 'warning', 'info'],
  caution: 'One unplugged motor of a parallel pair leaves the other with the full current.',
  bad: [example('', '\n                        ^^^ drivers/motor-count: nothing steps')],
  good: [example('#define AXIS_Z_SECOND_STEP_PIN PC2')],
  check(context) {
    checkClaims(context);
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

/** Two axes whose motors the sheet has on one driver. */
function checkClaims(context: RuleContext): void {
  const owners = new Map<DriverSocket['name'], { axis: Axis; fact: Fact<string> }>();
  for (const axis of context.machine.axes) {
    for (const mounted of axis.sheet?.motors ?? []) {
      const socket = socketOfMotor(axis, mounted);
      const fact = mounted.driver ?? mounted.connector;
      if (!socket || !fact) continue;
      const owner = owners.get(socket.name);
      if (!owner) owners.set(socket.name, { axis, fact });
      else if (owner.axis.axis !== axis.axis) reportClaim(context, socket, owner, { axis, fact });
    }
  }
}

interface Claim {
  readonly axis: Axis;
  readonly fact: Fact<string>;
}

function reportClaim(context: RuleContext, socket: DriverSocket, first: Claim, second: Claim): void {
  const { place } = second.fact;
  if (!place) return;
  context.report({
    severity: 'error',
    place,
    message: `The machine sheet has motors of ${first.axis.title} and of ${second.axis.title} on driver ${socket.name}: one driver cannot step two axes.`,
    root: place,
    causes: causesOf(context, place, [first.fact]),
    remedies: [inWords('See which socket each motor is plugged in, and correct the machine sheet')],
  });
}

function checkAxis(context: RuleContext, axis: Axis): void {
  const about = aboutDriver(axis);
  if (!about) return;
  const motors = axisMotors(axis);
  const key = `axes.${axis.axis}`;
  if (!motors) {
    context.need(
      undefined,
      about,
      `Add the motors of ${axis.title} and their sockets (${key}.motors) to the machine sheet and I can compare them with the drivers`,
    );
    return;
  }
  if (!motors.joined) {
    context.need(
      undefined,
      about,
      `Add how the ${motors.count} motors of ${axis.title} share drivers (${key}.joined) to the machine sheet and I can compare them with the drivers`,
    );
    return;
  }
  if (motors.joined === 'single' || motors.joined === 'ownDrivers')
    checkOwn(context, axis, about.place, motors.count);
  else checkShared(context, axis, about.place, motors.joined, motors.count, motors.fact);
}

/** Every motor's socket must be stepped by this axis. */
function checkOwn(context: RuleContext, axis: Axis, place: Place, count: number): void {
  const { board } = context.machine;
  const pins = [axis.pin('stepPin'), axis.pin('secondStepPin')].filter((pin) => pin !== undefined);
  if (!board || pins.length === 0) return;
  // A step pin that only the build knows may well be the one that is missed.
  if (['stepPin', 'secondStepPin'].some((name) => context.machine.settings.undecided(`${axis.id}.${name}`)))
    return;
  const idle = (axis.sheet?.motors ?? []).flatMap((mounted) => {
    const socket = socketOfMotor(axis, mounted);
    const step = socket?.stepPin;
    if (!socket || !step || pins.some((pin) => isPin(board, pin.value, step.value))) return [];
    return [{ socket, step, fact: mounted.driver ?? mounted.connector }];
  });
  // All of them elsewhere is the pin of another socket: pins/wiring-disagrees says that.
  if (idle.length > 0 && count > 1 && idle.length < count) {
    const [first] = idle;
    const second = axis.reading('secondStepPin');
    const reading = second ?? axis.reading('stepPin');
    const at = reading?.place ?? place;
    context.report({
      severity: 'error',
      place: at,
      message: `${axis.title} has ${count} motors with drivers of their own, but nothing steps ${listed(idle.map(({ socket }) => socket.name))} for it: that motor is dragged along or holds the axis.`,
      concept: reading?.concept.id,
      root: at,
      causes: causesOf(
        context,
        at,
        idle.flatMap(({ step, fact }) => [step, fact]),
      ),
      remedies: first ? stepIt(context, axis, first.step.value) : [],
    });
    return;
  }
  const [second] = count === 1 && pins.length > 1 ? [axis.reading('secondStepPin')] : [];
  if (second && pins[0] && pins[1] && !isPin(board, pins[0].value, pins[1].value)) {
    context.report({
      severity: 'info',
      place: second.place,
      message: `The settings step a second driver for ${axis.title}, the machine sheet has one motor.`,
      concept: second.concept.id,
      root: second.place,
      causes: causesOf(context, second.place, [
        axis.sheet?.motors[0]?.connector,
        axis.sheet?.motors[0]?.driver,
      ]),
      remedies: [
        inWords(
          `Add ${axis.title}'s second motor to the machine sheet, or take the second driver out of the settings`,
        ),
      ],
    });
    return;
  }
  if (idle.length === 0) {
    const who = count === 1 ? 'one motor, one driver' : `${count} motors with drivers of their own`;
    context.agree({ place, message: who, causes: causesOf(context, place, pins) });
  }
}

/** Writes the second step pin where the settings have a place for it; a new line is written by hand. */
function stepIt(context: RuleContext, axis: Axis, pin: string): Remedy[] {
  const { settings } = context.machine;
  const reading = axis.reading('secondStepPin');
  const edit = reading && settings.edit(reading, { pin });
  if (edit) return [remedy(`Step ${axis.title}'s second motor by ${pin}`, [edit])];
  const line = settings.newLine(`${axis.id}.secondStepPin`, { pin });
  const text = line ? `${line.name} with ${line.value}` : `the second step pin, ${pin},`;
  return [inWords(`Add ${text} to the settings, with its direction and enable pins`)];
}

function checkShared(
  context: RuleContext,
  axis: Axis,
  place: Place,
  joined: 'parallel' | 'series',
  count: number,
  fact: Fact<unknown> | undefined,
): void {
  const { machine } = context;
  const current = axisCurrent(machine, axis);
  const reading = axis.reading('motorCurrent');
  const at = reading?.place ?? place;
  const second = axis.reading('secondStepPin');
  if (
    second &&
    axis.pin('secondStepPin') &&
    axis.pin('secondStepPin')?.value !== axis.pin('stepPin')?.value
  ) {
    context.report({
      severity: 'error',
      place: second.place,
      message: `The machine sheet has the motors of ${axis.title} in ${joined} on one driver, the settings step a second one for it.`,
      concept: second.concept.id,
      root: second.place,
      causes: causesOf(context, second.place, [fact]),
      remedies: [
        inWords('Correct the machine sheet ("joined"), or take the second driver out of the settings'),
      ],
    });
    return;
  }
  const each =
    current && over([current.rms.value], (amperes) => amperes / (joined === 'parallel' ? count : 1));
  const causes = causesOf(context, at, [fact, ...(current?.facts ?? [])]);
  if (joined === 'series') {
    const gets = each ? `: each gets ${formatInterval(each, 'current')}, and the supply is shared` : '';
    context.agree({ place: at, message: `${count} motors in series on one driver${gets}`, causes });
    return;
  }
  const short = isShort(context, axis);
  const severity: Severity = short ? 'warning' : 'info';
  const gets = each
    ? `: each gets ${formatInterval(each, 'current')} of your ${formatQuantity(current.rms.value.nom, 'current')}`
    : `: each gets 1/${count} of the current`;
  const effect = short
    ? 'That is too little for what the axis has to do: they can lose steps on one side.'
    : `Each pulls ${count === 2 ? 'half' : `1/${count}`} as much as it would alone; if one side drags, it can lose steps there.`;
  context.report({
    severity,
    place: at,
    message: `${count} motors of ${axis.title} share one driver in parallel${gets}. ${effect}`,
    concept: reading?.concept.id,
    causes,
    remedies: [
      inWords(
        'A second driver with its own pins, or the motors in series, noted on the machine sheet ("joined") when it is done',
      ),
      inWords('A higher current only as far as the driver, and one motor alone, carry it'),
    ],
  });
}

/** Whether motion/torque-short would say that even the best case does not suffice, or hardly does. */
function isShort(context: RuleContext, axis: Axis): boolean {
  const torque = torqueOf(context.machine, axis);
  if (!torque) return false;
  return dutiesOf(context.machine, axis).some(({ speed, acceleration, stated }) => {
    const { best, reserve } = torquesAt(torque, speed, acceleration);
    return best.hi < 1 || (stated && reserve.hi < 1.5);
  });
}
