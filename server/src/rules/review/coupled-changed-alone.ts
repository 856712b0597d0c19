import type { Change } from '../../machine/compare';
import type { Axis } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { formatNumber, formatQuantity } from '../../units';
import { causesOf, inWords, nameOf, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { geometricSteps, microstepsOf } from '../steps';
import { newlyWrong, restoring, wordsOf } from './changed';

const settings = (microsteps: number, steps: number) => `#define AXIS_X_MICROSTEPS ${microsteps}
#define AXIS_X_STEPS_PER_MM ${steps}`;

/** Share by which steps per mm may be off their partner; a measured correction. Common practice. */
const STEPS_LIMIT = 0.01;

export default defineRule({
  id: 'review/coupled-changed-alone',
  title: 'Changed without its partner',
  what: 'Compared with the state before, one of two settings that belong together was changed and the other was not.',
  why: 'The one was right for the other; now neither the old nor the new pair is complete.',
  formula:
    'steps per mm ∝ microsteps; home position lies at the end of its side; real current ∝ sense resistor in the settings; pull-up in the settings = pull-up on the board; contact and active level turn round together',
  source:
    "geometry; Ohm's law. What depends on no single equation (pulse length, switching frequency, contact) is judged by the rule that computes it, before and now. Supply against gains: heating/gains-carried",
  severity: ['error', 'warning', 'info'],
  bad: [
    `${settings(32, 80)}
                            ^^ review/coupled-changed-alone: Microsteps of X went from 16 to 32, but steps per mm stayed 80: every move is half as long.
//- base/settings.h
${settings(16, 80)}`,
  ],
  good: [`${settings(32, 160)}\n//- base/settings.h\n${settings(16, 80)}`],
  check(context) {
    if (!context.base) return;
    const changes = new Map(context.changes().map((change) => [change.id, change]));
    for (const axis of context.machine.axes) {
      checkSteps(context, axis, changes);
      checkHome(context, axis, changes);
      checkSense(context, axis, changes);
    }
    for (const zone of context.machine.zones) checkPullUp(context, zone.id, changes);
    for (const pair of PAIRS) checkPair(context, pair, changes);
  },
});

type Changes = ReadonlyMap<string, Change>;

/** An error once the combination fails the rule that computes it. */
const severityWith = (context: RuleContext, rule: string, prefix: string): Severity =>
  newlyWrong(context, [rule]).some(({ concept }) => concept?.startsWith(`${prefix}.`)) ? 'error' : 'warning';

function checkSteps(context: RuleContext, axis: Axis, changes: Changes): void {
  const steps = changes.get(`${axis.id}.stepsPerMm`);
  const old = context.base?.machine.axes.find((one) => one.axis === axis.axis);
  const [then, now] = [old && microstepsOf(old), microstepsOf(axis)];
  if (!steps?.before || !steps.after || !old || !then || !now) return;
  if (steps.before.value.kind !== 'number' || steps.after.value.kind !== 'number') return;
  const [before, after] = [steps.before.value.si, steps.after.value.si];
  if (!(before > 0) || !(after > 0) || !(then.value.nom > 0)) return;
  const [was, needed] = [geometricSteps(old), geometricSteps(axis)];
  // Right for the motor and the transmission as they are: then the pair is right, however it came about.
  if (needed && isNear(after, needed.value.nom)) return;
  const byMicrosteps = now.value.nom / then.value.nom;
  const ratio = was && needed ? needed.value.nom / was.value.nom : byMicrosteps;
  const wanted = before * ratio;
  if (isNear(after, wanted)) return;
  const microsteps = changes.get(`${axis.id}.microsteps`);
  if (!isNear(byMicrosteps, 1) && isNear(after, before)) {
    const moves = byMicrosteps > 1 ? shorter(byMicrosteps) : longer(1 / byMicrosteps);
    context.report({
      severity: severityWith(context, 'motion/steps-mismatch', axis.id),
      place: steps.after.place,
      message: `Microsteps of ${axis.title} went from ${formatNumber(then.value.nom)} to ${formatNumber(now.value.nom)}, but steps per mm stayed ${perMm(after)}: every move is ${moves}.`,
      concept: steps.id,
      root: steps.after.place,
      causes: causesOf(context, steps.after.place, [now]),
      remedies: [
        ...setSetting(context, steps.after, { si: wanted, digits: 8 }),
        ...(microsteps?.kind === 'changed' ? restoring(context, microsteps) : []),
      ],
    });
    return;
  }
  // A pulley changes the steps by any ratio, microsteps by powers of two only.
  const doubling = Math.log2(after / before);
  if (
    isNear(byMicrosteps, 1) &&
    Math.abs(doubling) > 0.5 &&
    Math.abs(doubling - Math.round(doubling)) < 0.01
  ) {
    context.report({
      severity: needed ? 'warning' : 'info',
      place: steps.after.place,
      message: `Steps per mm of ${axis.title} went from ${perMm(before)} to ${perMm(after)}, but microsteps stayed ${formatNumber(now.value.nom)}: every move is ${after > before ? longer(after / before) : shorter(before / after)}, unless the transmission is another one.`,
      concept: steps.id,
      root: steps.after.place,
      causes: causesOf(context, steps.after.place, [now]),
      remedies: restoring(context, steps),
    });
  }
}

const isNear = (one: number, other: number): boolean => Math.abs(one / other - 1) <= STEPS_LIMIT;
const perMm = (perMetre: number): string => formatNumber(Number((perMetre / 1000).toPrecision(12)), 5);
const shorter = (times: number): string =>
  isNear(times, 2) ? 'half as long' : `${formatNumber(1 / times, 3)} times as long`;
const longer = (times: number): string =>
  isNear(times, 2) ? 'twice as long' : `${formatNumber(times, 3)} times as long`;

function checkHome(context: RuleContext, axis: Axis, changes: Changes): void {
  const side = changes.get(`${axis.id}.homeSide`);
  const position = changes.get(`${axis.id}.homePosition`);
  if (side?.kind !== 'changed' || position?.kind !== 'same') return;
  const ends = { low: axis.number('travelLow'), high: axis.number('travelHigh') };
  const before = choiceOf(side.before);
  const after = choiceOf(side.after);
  if (!isEnd(before) || !isEnd(after)) return;
  const [old, now] = [ends[before], ends[after]];
  if (!old || !now || position.after.value.kind !== 'number') return;
  const set = position.after.value.si;
  const wanted = set + now.value.nom - old.value.nom;
  // Where the position lies at the new end already, the pair was wrong before.
  if (old.value.nom === now.value.nom || Math.abs(set - now.value.nom) < Math.abs(set - old.value.nom))
    return;
  context.report({
    severity: severityWith(context, 'motion/home-side', axis.id),
    place: position.after.place,
    message: `${axis.title} homes at its ${after} end now, but its home position stayed ${millimetres(set)}: the machine takes the ${after} end for the ${before} one and drives on by ${millimetres(Math.abs(now.value.nom - old.value.nom))}.`,
    concept: position.id,
    root: position.after.place,
    causes: [
      { place: side.after.place, message: `home side: ${before} before, ${after} now` },
      ...causesOf(context, position.after.place, [old, now]),
    ],
    remedies: [...setSetting(context, position.after, { si: wanted }), ...restoring(context, side)],
  });
}

const millimetres = (value: number): string => formatQuantity(value, 'length', { unit: 'mm' });
const isEnd = (text: string | undefined): text is 'low' | 'high' => text === 'low' || text === 'high';
const choiceOf = (reading: Change['after']): string | undefined =>
  reading?.value.kind === 'choice' ? reading.value.choice : undefined;

const numberAt = (reading: Change['after']): number | undefined =>
  reading?.value.kind === 'number' ? reading.value.si : undefined;

const fitsFact = (value: number, fact: NumberFact): boolean =>
  value >= fact.value.lo * 0.999 && value <= fact.value.hi * 1.001;

/** In a port the board is another one: what it carries nobody knows unless its profile says. */
const isOtherBoard = ({ base }: RuleContext, fact: NumberFact | undefined): boolean =>
  !base?.sameProject && fact === undefined;

/** The firmware works out the current from the resistor it is told; the motors get what the real one makes of it. */
function checkSense(context: RuleContext, axis: Axis, changes: Changes): void {
  const sense = changes.get(`${axis.id}.senseResistor`);
  const current = changes.get(`${axis.id}.motorCurrent`);
  if (sense?.kind !== 'changed' || current?.kind !== 'same') return;
  const [before, after] = [numberAt(sense.before), numberAt(sense.after)];
  const [driver] = axis.drivers;
  if (!before || !after) return;
  // As on the board: that is a correction, or a move to another board.
  if (driver?.senseResistor && fitsFact(after, driver.senseResistor)) return;
  if (isOtherBoard(context, driver?.senseResistor)) return;
  const extra = driver?.family?.current?.extraResistance?.value.nom ?? 0;
  const ratio = (after + extra) / (before + extra);
  context.report({
    severity: severityWith(context, 'drivers/sense-resistor', axis.id),
    place: sense.after.place,
    message: `${nameOf(sense.after)} went from ${wordsOf(sense.before)} to ${wordsOf(sense.after)}, but ${nameOf(current.after)} stayed ${wordsOf(current.after)}. Unless the resistor on the board was changed too, the motors now get ${formatNumber(ratio, 3)} times the current of before.`,
    concept: sense.id,
    root: sense.after.place,
    causes: causesOf(context, sense.after.place, [driver?.senseResistor]),
    // Where the board does not confirm the old value, the way back to more current is told, not offered.
    remedies:
      before > after && !(driver?.senseResistor && fitsFact(before, driver.senseResistor))
        ? [
            inWords(
              `Set ${nameOf(sense.after)} back to ${wordsOf(sense.before)} if that is what is on the board`,
            ),
          ]
        : restoring(context, sense),
  });
}

function checkPullUp(context: RuleContext, zone: string, changes: Changes): void {
  const pullUp = changes.get(`${zone}.sensor.pullUp`);
  const curve = changes.get(`${zone}.sensor.curve`);
  if (pullUp?.kind !== 'changed' || (curve && curve.kind !== 'same')) return;
  const part = context.machine.zones.find(({ id }) => id === zone);
  const socket = part?.sensorWiredTo ?? part?.sensorConnector;
  const fitted = socket?.fitted.find((one) => one.part.value === 'pullUp')?.resistance;
  const [before, after] = [numberAt(pullUp.before), numberAt(pullUp.after)];
  if (!before || !after || (fitted && fitsFact(after, fitted)) || isOtherBoard(context, fitted)) return;
  context.report({
    severity: severityWith(context, 'sensing/pullup-mismatch', zone),
    place: pullUp.after.place,
    message: `${nameOf(pullUp.after)} went from ${wordsOf(pullUp.before)} to ${wordsOf(pullUp.after)}, and the sensor stayed the same. Unless the resistor on the board was changed too, the firmware now takes the sensor for ${formatNumber(after / before, 3)} times the resistance it took it for, and all its temperatures are others.`,
    concept: pullUp.id,
    root: pullUp.after.place,
    causes: causesOf(context, pullUp.after.place, [fitted]),
    remedies: restoring(context, pullUp),
  });
}

/** Settings whose partners are facts or settings without a single equation: the rules that compute the combination judge it. */
interface Pair {
  readonly changed: RegExp;
  readonly rules: readonly string[];
}

const PAIRS: readonly Pair[] = [
  {
    changed: /\.(?:microsteps|minPulseWidth|dirSetup|stepEdges)$/,
    rules: ['motion/pulse-too-short', 'motion/step-rate-over'],
  },
  {
    changed: /\.pwmFrequency$/,
    rules: [
      'heating/pwm-vs-switch',
      'heating/transistor-heat',
      'outputs/fan-pwm-style',
      'outputs/shared-timer',
    ],
  },
  {
    changed: /^(?:endstop|probe)\b.*\.(?:activeLevel|pull)$/,
    rules: ['inputs/polarity-inverted', 'inputs/level-undefined'],
  },
];

function checkPair(context: RuleContext, { changed, rules }: Pair, changes: Changes): void {
  const suspects = [...changes.values()].filter(({ id, kind }) => kind === 'changed' && changed.test(id));
  if (suspects.length === 0) return;
  const broken = newlyWrong(context, rules);
  for (const change of suspects) {
    const { id, before, after } = change;
    const part = id.slice(0, id.lastIndexOf('.'));
    const failing = broken.find(({ concept }) => concept?.startsWith(`${part}.`));
    if (!failing || !before || !after) continue;
    context.report({
      severity: failing.severity,
      place: after.place,
      message: `${nameOf(after)} went from ${wordsOf(before)} to ${wordsOf(after)} alone, and now ${failing.rule} fails: ${failing.message}`,
      concept: id,
      root: failing.root ?? failing.place,
      causes: [{ place: before.place, message: `before: ${wordsOf(before)}` }],
      remedies: restoring(context, change).filter(() => isSafeBack(change)) as Remedy[],
    });
  }
}

/** A value is set back by edit only where that raises nothing. */
const isSafeBack = ({ concept }: Change): boolean =>
  concept.quantity !== 'current' && concept.weaker === undefined;
