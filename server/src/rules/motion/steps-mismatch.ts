import type { Axis } from '../../machine/machine';
import { over } from '../../model/interval';
import { travelError } from '../../physics/motion';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import {
  atMost,
  causesOf,
  estimateNote,
  hedged,
  inWords,
  judgeSteps,
  listed,
  nameOf,
  percent,
  type Step,
  setFact,
  setSetting,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { type Computed, geometricSteps, microstepsOf } from '../steps';

export default defineRule({
  id: 'motion/steps-mismatch',
  title: 'Steps per mm that the drive does not have',
  what: 'The steps per mm in the settings are not those that motor, microsteps and transmission give.',
  why: 'Every move is too long or too short by the same share.',
  formula:
    'k = (360°/angle)·µ·i / travel per output turn; travel = p·z (belt), lead (screw), π·d (roller); error = set/k − 1',
  source:
    'geometry; 1 % allows a measured correction, 10 % for a feed roller whose gripping diameter is only known by measuring: common practice',
  severity: ['error', 'warning', 'info'],
  bad: [
    `
    #define AXIS_X_MICROSTEPS 16
    #define AXIS_X_STEPS_PER_MM 100
                                ^^^ motion/steps-mismatch: A 100 mm move would travel 125 mm. 100 would be right for a 16-tooth pulley.
    //- a.machine.json
    {
      "name": "Example machine",
      "motors": { "small": { "stepAngle": "1.8°" } },
      "axes": {
        "x": { "motors": [{ "motor": "small" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } }
      }
    }
    `,
  ],
  good: [
    `
    #define AXIS_X_MICROSTEPS 16
    #define AXIS_X_STEPS_PER_MM 80
    //- a.machine.json
    {
      "name": "Example machine",
      "motors": { "small": { "stepAngle": "1.8°" } },
      "axes": {
        "x": { "motors": [{ "motor": "small" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } }
      }
    }
    `,
  ],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

const STEPS: readonly Step[] = [
  { above: 0.05, severity: 'error' },
  { above: 0.01, severity: 'warning' },
];
const FEED_STEPS: readonly Step[] = [
  { above: 0.3, severity: 'error' },
  { above: 0.1, severity: 'warning' },
];

/** Excess of a feed roller's steps per mm from which a gear that the sheet leaves out is likelier than a mistake. Common practice. */
const GEARED = 0.3;

function checkAxis(context: RuleContext, axis: Axis): void {
  const reading = axis.reading('stepsPerMm');
  const set = axis.number('stepsPerMm');
  if (!reading || !set) return;
  const needed = geometricSteps(axis);
  if (!needed) {
    askFor(context, axis);
    return;
  }
  const facts = [set, ...needed.facts];
  const error = over([set.value, needed.value], travelError);
  const size = {
    lo: error.lo <= 0 && error.hi >= 0 ? 0 : Math.min(Math.abs(error.lo), Math.abs(error.hi)),
    nom: Math.abs(error.nom),
    hi: Math.max(Math.abs(error.lo), Math.abs(error.hi)),
  };
  const verdict = judgeSteps(size, axis.feed ? FEED_STEPS : STEPS, facts);
  const gives = formatInterval(needed.value, 'stepsPerLength').replace(/steps\/mm$/, 'steps per mm');
  const causes = causesOf(context, reading.place, facts);
  if (!verdict) {
    const off =
      Math.abs(error.nom) < 5e-5
        ? 'as set'
        : `the setting is ${percent(Math.abs(error.nom), 2)} ${error.nom > 0 ? 'above' : 'below'}`;
    context.agree({
      place: reading.place,
      message: `${transmissionTitle(axis)} give ${gives}; ${off}`,
      causes,
    });
    return;
  }
  if (error.nom > GEARED && gearUntold(axis)) {
    context.report({
      severity: atMost(verdict.severity, 'info'),
      place: reading.place,
      message: `${transmissionTitle(axis)} give ${gives} without a gear; the setting says ${numberOf(set.value.nom)}, right with a gear of ${formatNumber(1 + error.nom, 3)} to 1. The machine sheet names no gear.${estimateNote(facts)}`,
      concept: reading.concept.id,
      root: reading.place,
      causes,
      remedies: [
        inWords(
          `If motor and roller have a gear, add its ratio to the machine sheet (axes.${axis.axis}.transmission.gearRatio); if not, set ${nameOf(reading)} to ${numberOf(needed.value.nom)}`,
        ),
      ],
    });
    return;
  }
  const travelled = formatQuantity(0.1 * (1 + error.nom), 'length', { unit: 'mm', digits: 4 });
  const move = axis.feed ? 'Feeding 100 mm' : 'A 100 mm move';
  const moves = `${hedged(verdict, 'would', 'may')} ${axis.feed ? 'feed' : 'travel'} ${travelled}`;
  const hint = guess(axis, set.value.nom, needed);
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `${transmissionTitle(axis)} give ${gives}; the setting says ${numberOf(set.value.nom)}. ${move} ${moves}.${hint}${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: remedies(context, axis, needed, set.value.nom),
  });
}

/** Feed rollers are geared as often as not: a ratio that is left out may be one that nobody thought of. */
const gearUntold = ({ sheet }: Axis): boolean =>
  sheet?.transmission?.kind?.value === 'roller' && sheet.transmission.gearRatio === undefined;

const numberOf = (perMetre: number): string => formatNumber(Number((perMetre / 1000).toPrecision(13)), 5);

function transmissionTitle(axis: Axis): string {
  const transmission = axis.sheet?.transmission;
  const kind = transmission?.kind?.value ?? (transmission?.lead ? 'screw' : 'belt');
  if (kind === 'screw') return 'Your motor and screw';
  if (kind === 'roller') return 'Your motor and feed roller';
  return kind === 'rack' ? 'Your rack and pinion' : 'Your belt and pulley';
}

/** The missing fact, one at a time. */
function askFor(context: RuleContext, axis: Axis): void {
  const reading = axis.reading('stepsPerMm');
  if (!reading) return;
  const ask = (key: string) =>
    context.need(undefined, reading, `Add ${key} and I can check the steps per mm`);
  const at = `axes.${axis.axis}`;
  const transmission = axis.sheet?.transmission;
  if (!axis.travelPerTurn) {
    const kind = transmission?.kind?.value;
    if (kind === 'screw') ask(`the screw's lead (${at}.transmission.lead) to the machine sheet`);
    else if (kind === 'roller')
      ask(`the roller's diameter (${at}.transmission.diameter) to the machine sheet`);
    else if (transmission?.pitch) ask(`the pulley's teeth (${at}.transmission.teeth) to the machine sheet`);
    else if (transmission?.teeth) ask(`the belt's pitch (${at}.transmission.pitch) to the machine sheet`);
    else ask(`the transmission (${at}.transmission) to the machine sheet`);
  } else if (!axis.motor?.stepAngle) {
    ask(
      axis.motor
        ? `the motor's step angle (motors.${axis.motor.name}.stepAngle) to the machine sheet`
        : `the axis's motor (${at}.motors) to the machine sheet`,
    );
  } else if (!microstepsOf(axis)) {
    ask(`the microsteps (${axis.id}.microsteps) to the settings`);
  }
}

/** What the setting would be right for: a whole pulley, another microstep choice, a half-step motor. */
function guess(axis: Axis, set: number, needed: Computed): string {
  const ratio = set / needed.value.nom;
  const teeth = axis.sheet?.transmission?.teeth?.value;
  const said = numberOf(set);
  const fitting = teeth === undefined ? undefined : wholeTeeth(teeth / ratio);
  const microsteps = microstepsOf(axis)?.value.nom;
  const other = microsteps === undefined ? undefined : powerOfTwo(microsteps * ratio);
  const fits = [
    ...(other === undefined ? [] : [`for ${other} microsteps`]),
    ...(fitting === undefined ? [] : [`for a ${fitting}-tooth pulley`]),
  ];
  return fits.length === 0 ? '' : ` ${said} would be right ${listed(fits, 'or')}.`;
}

/** Pulleys have 8 to 80 teeth; common practice. */
function wholeTeeth(teeth: number): number | undefined {
  const whole = Math.round(teeth);
  return whole >= 8 && whole <= 80 && Math.abs(teeth / whole - 1) < 0.002 ? whole : undefined;
}

function powerOfTwo(microsteps: number): number | undefined {
  const whole = Math.round(microsteps);
  return whole >= 1 &&
    whole <= 256 &&
    Number.isInteger(Math.log2(whole)) &&
    Math.abs(microsteps / whole - 1) < 0.002
    ? whole
    : undefined;
}

function remedies(context: RuleContext, axis: Axis, needed: Computed, set: number): Remedy[] {
  const reading = axis.reading('stepsPerMm');
  if (!reading) return [];
  const teeth = axis.sheet?.transmission?.teeth;
  const fitting = teeth && wholeTeeth(teeth.value / (set / needed.value.nom));
  return [
    ...setSetting(context, reading, { si: needed.value.nom, digits: 6 }),
    ...(fitting === undefined
      ? []
      : setFact(teeth, fitting, `The pulley has ${fitting} teeth: correct the machine sheet`)),
  ];
}
