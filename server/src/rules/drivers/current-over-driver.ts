import type { DriverSocket } from '../../board/profile';
import { type AxisCurrent, axisCurrent, bridgeResistance } from '../../machine/driverCurrent';
import type { Axis } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { type Interval, over } from '../../model/interval';
import { driverLoss } from '../../physics/stepper';
import { formatInterval, formatQuantity } from '../../units';
import {
  currentPlace,
  driverAmbient,
  driverRating,
  lowerCurrent,
  mostOfDriver,
  withoutGaps,
} from '../currents';
import { causesOf, estimateNote, exceeds, hedged, inWords, judgeSteps, type Verdict } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (current: string, mark = '') => `
//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_MOTOR_CURRENT_A ${current}${mark}
//- a.board.json
{
  "name": "Example board",
  "drivers": {
    "X": {
      "stepPin": "PC0", "cooled": false,
      "familyFacts": { "maxRms": "2 A", "maxRmsStill": "1.4 A", "rDsOn": "0.36 Ω", "junctionToAmbient": "35 K/W" }
    }
  }
}
//- a.machine.json
{ "name": "Example machine", "insideAmbient": "45 °C" }`;

export default defineRule({
  id: 'drivers/current-over-driver',
  title: 'More current than the driver carries',
  what: "Compares the motor current with the driver's rating as it is cooled, and computes its junction.",
  why: 'A driver that gets too hot switches off for moments: that looks like lost steps.',
  formula: 'P = 2·Irms²·R_ds, R_ds hot (1.4 times the figure for 25 °C); T_j = T_around + P·R_thJA',
  source: "the driver's data sheet; junction 125 °C and the factor 1.4: common practice",
  severity: ['error', 'warning', 'info'],
  bad: [
    example(
      '1.6',
      '\n                               ^^^ drivers/current-over-driver: more than this driver carries without a fan (1.4 A)',
    ),
  ],
  good: [example('1.2')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

/** °C at which drivers are not run for long. Common practice; they switch off from about 150 °C. */
const JUNCTION = 125;

function checkAxis(context: RuleContext, axis: Axis): void {
  const { machine } = context;
  const current = axisCurrent(machine, axis);
  if (!current) return;
  const { reading, place } = currentPlace(axis, current);
  if (!place || !machine.board) return;
  if (axis.drivers.length === 0 || !axis.drivers.every(mostOfDriver)) {
    context.need(
      undefined,
      reading ?? place,
      'Add the family of the driver in this socket ("drivers", "family"), or what it carries ("familyFacts.maxRms"), to the board profile or the machine sheet and I can check this current',
    );
    return;
  }
  // Alike drivers of one axis get one finding.
  const seen = new Set<string>();
  for (const socket of axis.drivers) {
    const key = JSON.stringify([socket.family?.id, socket.cooled?.value, mostOfDriver(socket)?.value]);
    if (!seen.has(key)) checkSocket(context, axis, socket, current);
    seen.add(key);
  }
}

function checkSocket(context: RuleContext, axis: Axis, socket: DriverSocket, current: AxisCurrent): void {
  const { machine } = context;
  const { reading, place } = currentPlace(axis, current);
  if (!place) return;
  const { maxRms, maxRmsStill } = socket.family ?? {};
  // Without air it carries less: a current below that rating is well whatever the air does, one above it tells nothing.
  const rating = driverRating(socket) ?? (maxRms ? undefined : maxRmsStill);
  const limit = rating ?? maxRms;
  if (!limit) return;
  const still = limit === maxRmsStill && socket.cooled?.value !== false;
  if (still && exceeds(current.rms.value.hi, limit.value.lo)) {
    askForAir(context, socket, reading ?? place);
    return;
  }
  const junction = junctionOf(context, socket, current);
  const facts = withoutGaps<unknown>([...current.facts, limit, socket.cooled]);
  const share = over([current.rms.value, limit.value], (amperes, rated) => amperes / rated);
  const load = judgeSteps(share, [{ above: 1, severity: 'error' }], facts);
  const heat =
    junction &&
    judgeSteps(junction.value, [{ above: JUNCTION, severity: 'warning' }], [...facts, ...junction.facts]);
  const amperes = formatInterval(current.rms.value, 'current');
  const air = airWords(socket);
  const rated = rating ? formatInterval(rating.value, 'current') : undefined;
  const all = [...facts, ...(junction?.facts ?? [])];
  const causes = causesOf(context, place, all);
  const reaches =
    junction && formatQuantity(load || heat ? junction.value.hi : junction.value.nom, 'temperature');
  if (!load && !heat) {
    if (!rating && !junction) {
      askForAir(context, socket, reading ?? place);
      return;
    }
    context.agree({
      place,
      message: `${amperes}${rated ? ` of ${rated}${air}` : ''}${reaches ? `; junction near ${reaches}` : ''}`,
      causes,
    });
    return;
  }
  const verdict = (load ?? heat) as Verdict;
  const effect = load
    ? `${amperes} ${hedged(load, 'is', 'may be')} more than this driver carries${air} (${formatInterval(limit.value, 'current')}).`
    : `${amperes} ${hedged(verdict, 'brings', 'may bring')} this driver's junction to ${reaches}, ${formatQuantity(JUNCTION, 'temperature')} is enough.`;
  const warms = load && reaches ? ` It would reach ${reaches} inside and` : ' It will';
  context.report({
    severity: verdict.severity,
    place,
    message: `${effect}${load && reaches ? warms : verdict.certain ? ' It will' : ' It may'} switch off for moments: that looks like lost steps.${estimateNote(all)}`,
    concept: reading?.concept.id,
    root: place,
    causes,
    remedies: remedies(
      context,
      axis,
      socket,
      current,
      load ? limit.value.lo : coolCurrent(current, junction?.value, machine),
    ),
  });
}

/** Junction temperature; the shipped resistance to still air says nothing about a driver in moving air. */
function junctionOf(
  { machine }: RuleContext,
  socket: DriverSocket,
  current: AxisCurrent,
): { value: Interval; facts: readonly Fact<unknown>[] } | undefined {
  const { rDsOn, junctionToAmbient } = socket.family ?? {};
  if (!rDsOn || !junctionToAmbient || (socket.cooled?.value !== false && !junctionToAmbient.place))
    return undefined;
  const bridge = bridgeResistance(socket.family);
  const ambient = driverAmbient(machine);
  const value = over(
    [current.rms.value, bridge.value, junctionToAmbient.value, ambient.value],
    (amperes, ohms, perWatt, around) => around + driverLoss(amperes, ohms) * perWatt,
  );
  return { value, facts: [rDsOn, junctionToAmbient, ambient] };
}

/** Current at which the junction stays at its limit; the rise goes with the square. */
function coolCurrent(
  current: AxisCurrent,
  junction: Interval | undefined,
  machine: RuleContext['machine'],
): number {
  const around = driverAmbient(machine).value.hi;
  if (!junction || junction.hi <= around) return 0;
  return current.rms.value.nom * Math.sqrt(Math.max(JUNCTION - around, 0) / (junction.hi - around));
}

const airWords = ({ cooled, family }: DriverSocket): string => {
  if (cooled) return cooled.value ? ' with a fan' : family?.maxRmsStill ? ' without a fan' : '';
  return family?.maxRms && family.maxRmsStill ? ' without and with a fan' : '';
};

function askForAir(
  context: RuleContext,
  { name, cooled, family }: DriverSocket,
  about: Parameters<RuleContext['need']>[1],
): void {
  context.need(
    undefined,
    about,
    cooled?.value === false
      ? `Add what this driver carries without air (drivers.${name}.familyFacts.maxRmsStill) to the machine sheet and I can check this current`
      : family?.maxRms
        ? `Say whether air moves over the drivers (driversCooled, or drivers.${name}.cooled) on the machine sheet and I can check this current`
        : `Add what this driver carries with air (drivers.${name}.familyFacts.maxRms) to the machine sheet and I can check this current`,
  );
}

function remedies(
  context: RuleContext,
  axis: Axis,
  { cooled, family }: DriverSocket,
  current: AxisCurrent,
  to: number,
): Remedy[] {
  // Not by edit of the sheet: the finding would be gone before the fan is there.
  const fan =
    cooled?.value || !family?.maxRms
      ? []
      : [inWords('Fit a fan over the drivers and note it on the machine sheet ("driversCooled")')];
  return [...lowerCurrent(context, axis, current, to), ...fan];
}
