import type { Axis, Input, Machine } from '../../machine/machine';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { homesBy } from '../homing';
import { causesOf, inWords, nameOf, remedy, setFact } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const settings = (side: string) => `
//- settings.h
#define ENDSTOP_Y_HIGH_PIN P1
#define AXIS_Y_HOME_SIDE ${side}
//- a.machine.json
{ "name": "Example", "sensors": { "y": { "watches": "endstop.y.high", "kind": "contact", "position": "high" } } }`;

export default defineRule({
  id: 'motion/home-side',
  title: 'Homing drives away from the switch',
  what: 'Compares the end that an axis homes to with the end at which its switch is mounted, and with the end that has a pin.',
  why: 'The axis runs away from its switch into the frame and keeps pushing.',
  formula: 'homeSide = position of the fitted sensor, and an endstop pin is assigned on that side',
  source: 'common practice, no source: a switch is only seen where it is',
  severity: ['error'],
  caution: 'Moving parts: be ready to cut power.',
  bad: [settings('LOW\n                         ^^^ motion/home-side: your switch is at the high end')],
  good: [settings('HIGH')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

type Side = 'low' | 'high';
const other = (side: Side): Side => (side === 'low' ? 'high' : 'low');

function checkAxis(context: RuleContext, axis: Axis): void {
  const { machine } = context;
  const reading = axis.reading('homeSide');
  const side = axis.choice('homeSide')?.value;
  if (!reading || (side !== 'low' && side !== 'high')) return;
  const inputs = machine.inputs.filter((input) => input.axis === axis.axis);
  if (!homesOntoSwitch(machine, axis, inputs)) return;
  const fitted = inputs.filter(({ sensor }) => sensor);
  const placed = fitted.filter(({ sensor }) => sensor?.position);
  const there = placed.find(({ sensor }) => sensor?.position?.value === side);
  const away = placed.find(({ sensor }) => sensor?.position?.value === other(side));
  const pinned = (end: Side) => inputs.find((input) => input.end === end && input.pin('pin'));
  // A pin at this side whose switch the sheet does not describe: there may well be two.
  const untold = inputs.some((input) => input.end === side && !input.sensor && input.pin('pin'));
  if (!there && away && placed.length === fitted.length && !(untold && away.end !== side)) {
    reportAway(context, axis, reading, side, away);
    return;
  }
  if (lacksPin(machine, axis, side) && pinned(other(side))) {
    reportPinless(context, axis, reading, side, there ?? away);
    return;
  }
  if (there) {
    context.agree({
      place: reading.place,
      message: `${axis.title} homes toward its ${side} end, where its switch is.`,
      causes: causesOf(context, reading.place, [there.sensor?.position]),
    });
    return;
  }
  const asked = fitted.find(({ sensor }) => !sensor?.position);
  context.need<unknown>(
    undefined,
    reading,
    asked
      ? `At which end of ${axis.title} is the switch ("sensors.${asked.sensor?.name}.position": "low" or "high")?`
      : `Add the switch of ${axis.title} to the machine sheet ("sensors" with "watches": "endstop.${axis.axis}.${side}") and at which end it is ("position").`,
  );
}

/** Not for axes that find their end by stall detection, with the probe or by hand. */
function homesOntoSwitch(machine: Machine, axis: Axis, inputs: readonly Input[]): boolean {
  const by = axis.choice('homeBy')?.value ?? homesBy(axis);
  if (by !== undefined) return by === 'endstop';
  if (machine.settings.undecided(`${axis.id}.homeBy`)) return false;
  if (inputs.some(({ sensor }) => sensor?.kind?.value === 'stall')) return false;
  // A vertical axis without a switch of its own may well home onto the probe.
  const probe = machine.settings.pin('probe.pin');
  return axis.axis !== 'z' || !probe || inputs.some(({ sensor }) => sensor !== undefined);
}

/** The settings speak of that end's pin as not assigned, or not at all; what only the build knows counts as assigned. */
function lacksPin({ settings }: Machine, { axis }: Axis, side: Side): boolean {
  const id = `endstop.${axis}.${side}.pin`;
  return (
    settings.pin(id) === undefined &&
    !settings.undecided(id) &&
    !conflicting(settings.reading(id), settings.readingsOf(id))
  );
}

/** Set twice with different values: `names/redefined` says so, and a pin there is. */
const conflicting = (live: Reading | undefined, all: readonly Reading[]): boolean =>
  live === undefined && all.some(({ entry, value }) => entry.state === 'active' && value.kind === 'pin');

function reportAway(context: RuleContext, axis: Axis, reading: Reading, side: Side, away: Input): void {
  const position = away.sensor?.position;
  context.report({
    severity: 'error',
    place: reading.place,
    concept: reading.concept.id,
    message: `Homing drives ${axis.title} toward the ${side} end, your switch is at the ${other(side)} end. The axis will run into the frame and keep pushing.`,
    causes: causesOf(context, reading.place, [position, away.sensor?.watches, away.pin('pin')]),
    remedies: [
      ...turned(context, axis, reading, other(side)),
      ...setFact(position, side, `The switch is at the ${side} end: correct the machine sheet`),
    ],
    root: reading.place,
  });
}

function reportPinless(
  context: RuleContext,
  axis: Axis,
  reading: Reading,
  side: Side,
  input: Input | undefined,
): void {
  const wrong = input?.sensor?.position?.value === side;
  const names = context.machine.settings.nameOf(`endstop.${axis.axis}.${side}.pin`);
  context.report({
    severity: 'error',
    place: reading.place,
    concept: reading.concept.id,
    message: `Homing drives ${axis.title} toward the ${side} end, but only its ${other(side)} end has a switch pin. The axis will run into the frame and keep pushing.`,
    causes: causesOf(context, reading.place, [
      context.machine.settings.pin(`endstop.${axis.axis}.${other(side)}.pin`),
      input?.sensor?.position,
    ]),
    remedies: wrong
      ? [inWords(`Assign the pin of the switch at the ${side} end${names ? ` (${names})` : ''}`)]
      : turned(context, axis, reading, other(side)),
    root: reading.place,
  });
}

/** The other side together with the position of that end. Only where that end has a pin; else the pin's settings move too, by hand. */
function turned(context: RuleContext, axis: Axis, reading: Reading, side: Side): Remedy[] {
  const { settings } = context.machine;
  const spelled = settings.spell(reading, { choice: side }) ?? side;
  const end = axis.number(side === 'low' ? 'travelLow' : 'travelHigh');
  const home = axis.reading('homePosition');
  const place = end
    ? ` and the home position to ${formatQuantity(end.value.nom, 'length', { unit: 'mm', digits: 4 })}`
    : '';
  if (lacksPin(context.machine, axis, side)) {
    return [
      inWords(
        `Set ${nameOf(reading)} to ${spelled}${place}, and move the settings of the switch to the ${side} end (${settings.nameOf(`endstop.${axis.axis}.${side}.pin`) ?? 'its pin'})`,
      ),
    ];
  }
  const edits = [
    settings.edit(reading, { choice: side }),
    ...(home && end ? [settings.edit(home, { si: end.value.nom, digits: 6 })] : []),
  ];
  const whole = edits.filter((edit) => edit !== undefined);
  const title = `Set ${nameOf(reading)} to ${spelled}${home ? place : ''}`;
  return [whole.length === edits.length ? remedy(title, whole) : inWords(title)];
}
