import type { Axis } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import {
  type AxisTorque,
  accelerationFor,
  asker,
  type Duty,
  dutiesOf,
  speedFor,
  type Torques,
  torqueOf,
  torquesAt,
} from '../axisTorque';
import {
  causesOf,
  type Extent,
  estimateNote,
  exceeds,
  hedged,
  inWords,
  judge,
  roundedDown,
  setSetting,
  type Verdict,
} from '../kit';
import { defineRule, lower, type Remedy, type RuleContext, type Severity } from '../rule';

const example = (acceleration: string, mark = '') => `
#define AXIS_X_MOTOR_CURRENT_A 1.06
#define AXIS_X_MAX_SPEED_MM_PER_S 500
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 ${acceleration}${mark}
//- a.machine.json
{
  "name": "Example machine",
  "supply": { "voltage": "12 V" },
  "job": { "travelSpeed": "500 mm/s" },
  "motors": {
    "small": {
      "stepAngle": "1.8°", "ratedCurrent": "1.5 A", "holdingTorque": "0.40 N·m",
      "inductance": "3 mH", "resistance": "1.6 Ω", "rotorInertia": "68 g·cm²"
    }
  },
  "axes": {
    "x": {
      "motors": [{ "motor": "small" }],
      "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 },
      "movedMass": "0.9 kg", "friction": "3 N"
    }
  }
}`;

export default defineRule({
  id: 'motion/torque-short',
  title: 'The motor is too weak at this speed',
  what: 'Compares the torque that the motor has at its speeds with the torque that the acceleration needs.',
  why: 'A stepper that is asked for too much slips, and everything after that is shifted.',
  formula:
    'needed (m·a + F [+ m·g])·r/η + J·a/r; available Kt·Iq with the current that the supply can press in at that speed, between a sine (V) and a square wave (4/π·V); motors that share the axis add',
  source:
    'stepping-motor textbooks (two-phase sinusoidal model), checked against a simulated chopper; efficiency of screws: machine-design handbooks; reserve 1.5 and 2, friction 3 N, belts 90 %: common practice',
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [
    example(
      '12000',
      '\n                                          ^^^^^ motion/torque-short: needs 0.11 N·m. That is a reserve of 1.',
    ),
  ],
  good: [example('5000')],
  check(context) {
    // What a feed axis pushes is not weighed: it is judged where the sheet says so, and not asked for.
    for (const axis of context.machine.axes)
      if (!axis.feed || axis.sheet?.movedMass) checkAxis(context, axis);
  },
});

/** Reserves of an open-loop stepper against resonance and ageing. Common practice. */
const THIN = 1.5;
const GOOD = 2;

interface Judged {
  readonly duty: Duty;
  readonly torques: Torques;
  readonly verdict: Verdict;
  readonly kind: 'short' | 'thin' | 'note';
}

function checkAxis(context: RuleContext, axis: Axis): void {
  const { machine } = context;
  const about = axis.reading('maxAcceleration') ?? axis.reading('maxSpeed');
  if (!about) return;
  if (!axis.number('maxSpeed') || !axis.number('maxAcceleration')) {
    const other = axis.number('maxSpeed') ? 'maxAcceleration' : 'maxSpeed';
    asker(
      context,
      about,
      'say whether the motor is strong enough',
    )(`Add ${axis.id}.${other} to the settings`);
    return;
  }
  const torque = torqueOf(machine, axis, asker(context, about, 'say whether the motor is strong enough'));
  if (!torque) return;
  const duties = dutiesOf(machine, axis).map((duty) => ({
    duty,
    torques: torquesAt(torque, duty.speed, duty.acceleration),
  }));
  const judged = duties.flatMap(({ duty, torques }) => judgeDuty(torque, duty, torques));
  const [worst] = judged.sort(
    (a, b) =>
      rank(a.verdict.severity) - rank(b.verdict.severity) || a.torques.reserve.nom - b.torques.reserve.nom,
  );
  if (worst) {
    report(context, axis, torque, worst);
    return;
  }
  const [tightest] = duties.sort((a, b) => a.torques.reserve.nom - b.torques.reserve.nom);
  if (!tightest) return;
  const { duty, torques } = tightest;
  context.agree({
    place: about.place,
    message: `At ${formatInterval(duty.speed, 'speed')} ${axis.title} has ${has(torques)} and needs ${formatQuantity(torques.needed.nom, 'torque')}: reserve ${formatNumber(torques.reserve.nom, 3)}`,
    causes: causesOf(context, about.place, [...torque.facts, ...duty.facts]),
  });
}

const rank = (severity: Severity): number => ['error', 'warning', 'info', 'hint'].indexOf(severity);

const has = ({ lower: least, upper: most }: Torques): string =>
  formatInterval({ lo: least.nom, nom: least.nom, hi: most.nom }, 'torque');

/** The most severe of the three limits that this duty fails. */
function judgeDuty(torque: AxisTorque, duty: Duty, torques: Torques): Judged[] {
  const facts = [...torque.facts, ...duty.facts];
  const stated = (severity: Severity): Severity => (duty.stated ? severity : lower(severity));
  const limits = [
    { kind: 'short', value: torques.best, limit: 1, severity: stated('error') },
    { kind: 'thin', value: torques.reserve, limit: THIN, severity: stated('warning') },
    { kind: 'note', value: torques.reserve, limit: GOOD, severity: stated('info') },
  ] as const;
  const judged = limits.flatMap(({ kind, value, limit, severity }): Judged[] => {
    const extent: Extent = exceeds(limit, value.hi) ? 'all' : exceeds(limit, value.lo) ? 'some' : 'none';
    const verdict = judge(extent, severity, facts);
    return verdict ? [{ duty, torques, verdict, kind }] : [];
  });
  return judged
    .sort(
      (a, b) =>
        rank(a.verdict.severity) - rank(b.verdict.severity) ||
        Number(b.verdict.certain) - Number(a.verdict.certain),
    )
    .slice(0, 1);
}

function report(context: RuleContext, axis: Axis, torque: AxisTorque, worst: Judged): void {
  const { duty, torques, verdict, kind } = worst;
  const [acceleration, speed] = [axis.reading('maxAcceleration'), axis.reading('maxSpeed')];
  if (!acceleration || !speed) return;
  // A job's speed is what the machine is for; a highest speed alone may simply be set too high.
  const still = { lo: 0, nom: 0, hi: 0 };
  const atRest = torquesAt(torque, still, duty.acceleration).reserve.nom >= GOOD;
  const reading = !duty.stated && atRest ? speed : acceleration;
  const facts: readonly Fact<unknown>[] = [...torque.facts, ...duty.facts];
  const [who, have] = torque.drive.rotors > 1 ? ['motors', 'have'] : ['motor', 'has'];
  const reserve = formatNumber(torques.reserve.nom, 3);
  const effect = {
    short: `That ${hedged(verdict, 'is', 'may be')} more than it can: it ${hedged(verdict, 'will', 'may')} lose steps.`,
    thin: `That is a reserve of ${reserve}${verdict.certain ? '' : ', or less'}, which is thin: expect lost steps when something drags.`,
    note: `That is a reserve of ${reserve}${verdict.certain ? '' : ', or less'}; a reserve of 2 leaves room for resonance and wear.`,
  }[kind];
  const cap = duty.stated ? '' : ' No job speed on the sheet asks for this.';
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `At ${formatInterval(duty.speed, 'speed')} the ${who} of ${axis.title} ${have} ${has(torques)} left, and ${formatInterval(duty.acceleration, 'acceleration')} needs ${formatQuantity(torques.needed.nom, 'torque')}. ${effect}${cap}${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, facts),
    remedies: remedies(context, axis, torque, { acceleration, speed }),
  });
}

function remedies(
  context: RuleContext,
  axis: Axis,
  torque: AxisTorque,
  readings: { readonly acceleration: Reading; readonly speed: Reading },
): Remedy[] {
  const duties = dutiesOf(context.machine, axis);
  const at = (reserve: number) =>
    Math.min(...duties.map((duty) => accelerationFor(torque, duty.speed, reserve)));
  const [good, thin] = [roundedDown(at(GOOD), 2), roundedDown(at(THIN), 2)];
  const show = (value: number) => formatQuantity(value, 'acceleration');
  const gentler =
    good > 0
      ? setSetting(
          context,
          readings.acceleration,
          { si: good, digits: 4 },
          {
            title: `Lower ${axis.title}'s acceleration to ${show(good)} for a reserve of 2 (${show(thin)} for 1.5)`,
          },
        )
      : [];
  const most = axis.number('maxSpeed')?.value.hi ?? 0;
  const speeds = duties.map((duty) => speedFor(torque, duty.acceleration, GOOD, most));
  const slowest = speeds.every((one) => one !== undefined) ? Math.min(...speeds) : 0;
  const slow = roundedDown(slowest, 2);
  const slower =
    slow > 0 && slow < most
      ? setSetting(
          context,
          readings.speed,
          { si: slow, digits: 4 },
          {
            title: `Lower ${axis.title}'s highest speed to ${formatQuantity(slow, 'speed')} for a reserve of 2`,
          },
        )
      : [];
  return [
    ...gentler,
    ...slower,
    inWords(
      'A higher supply voltage, if board, driver and everything else on it allow, or a motor of lower inductance',
    ),
  ];
}
