import type { DriverFamily, DriverSocket } from '../../board/profile';
import type { Axis } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { over, scale } from '../../model/interval';
import { highestStepRate } from '../../physics/stepRate';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import {
  atMost,
  causesOf,
  estimateNote,
  exceeds,
  extentOf,
  hedged,
  judge,
  nameOf,
  remedy,
  roundedDown,
  roundedUp,
  setSetting,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { bothEdges, pulseRate } from '../steps';

const board = `
//- a.board.json
{
  "name": "Example",
  "drivers": { "X": { "stepPin": "P1", "familyFacts": { "minHigh": "5 µs", "minLow": "5 µs", "minDirectionSetup": "5 µs" } } }
}`;
const settings = (width: string, speed: string) => `
//- settings.h
#define AXIS_X_STEP_PIN P1
#define AXIS_X_STEPS_PER_MM 320
#define AXIS_X_MAX_SPEED_MM_PER_S ${speed}
#define AXIS_X_DIR_SETUP_US 5
#define AXIS_X_MIN_PULSE_WIDTH_US ${width}`;

export default defineRule({
  id: 'motion/pulse-too-short',
  title: 'Step pulses that the driver does not see',
  what: "Compares the step pulse, the pause behind it and the direction's lead with the least times of the driver.",
  why: 'The driver misses some or all steps, or takes the first one after a turn the wrong way.',
  formula:
    't_high ≥ minHigh; 1/f − t_high ≥ minLow at the highest speed (steps on both edges: 1/f ≥ the longer of both); dirSetup ≥ minDirSetup; f_max = 1/(minHigh + minLow)',
  source: "the driver's data sheet; optocoupled inputs typically 2.5–5 µs: common practice, no source",
  severity: ['error', 'warning', 'info'],
  bad: [
    `${settings('2\n                                  ^ motion/pulse-too-short: this driver needs 5 µs', '300')}${board}`,
  ],
  good: [`${settings('5', '300')}${board}`],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

interface Needs {
  readonly driver: DriverSocket;
  readonly minHigh?: NumberFact;
  readonly minLow?: NumberFact;
  readonly minSetup?: NumberFact;
}

function checkAxis(context: RuleContext, axis: Axis): void {
  const reading = axis.reading('minPulseWidth') ?? axis.reading('dirSetup');
  const needs = axis.drivers.map(needsOf);
  const [slowest] = [...needs].sort((a, b) => least(b.minHigh) - least(a.minHigh));
  if (!slowest || ![slowest.minHigh, slowest.minLow, slowest.minSetup].some(Boolean)) {
    if (reading) {
      const socket = slowest?.driver.name;
      context.need<unknown>(
        undefined,
        reading,
        socket === undefined
          ? `Which driver turns ${axis.title}? Add it to the board profile ("drivers"), or its socket to the machine sheet, and I can check the step pulse.`
          : `Which driver family is in socket ${socket} ("drivers.${socket}.family")? With its least times I can check the step pulse.`,
      );
    }
    return;
  }
  checkWidth(context, axis, slowest);
  checkPause(context, axis, slowest);
  checkSetup(context, axis, needs);
}

const needsOf = (driver: DriverSocket): Needs => {
  const family: Partial<DriverFamily> = driver.family ?? {};
  return { driver, minHigh: family.minHigh, minLow: family.minLow, minSetup: family.minDirectionSetup };
};

const least = (fact: NumberFact | undefined): number => fact?.value.hi ?? 0;

/** A driver's least time is a limit: it is compared at the end that its data sheet guarantees. */
const shorter = (time: number, needed: number): boolean => exceeds(needed, time);

function checkWidth(context: RuleContext, axis: Axis, { minHigh, minLow }: Needs): void {
  const reading = axis.reading('minPulseWidth');
  const width = axis.number('minPulseWidth');
  // With steps on both edges the level stays until the next step: the rate decides, not this time.
  if (!reading || !width || !minHigh || bothEdges(axis)) return;
  const facts = [width, minHigh];
  const verdict = judge(extentOf([width.value, minHigh.value], shorter), 'error', facts);
  const needed = formatInterval(minHigh.value, 'time');
  const causes = causesOf(context, reading.place, [...facts, axis.pin('stepPin')]);
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `${formatInterval(width.value, 'time')}, the driver needs ${needed}.`,
      causes,
    });
    return;
  }
  // 0 promises nothing, but the code itself takes its time; how long is not known.
  const unsaid = width.value.hi === 0;
  const message = unsaid
    ? `The step pulse on ${axis.title} is as short as the code happens to be; this driver needs ${needed}. On a fast chip it may miss steps.`
    : `The step pulse on ${axis.title} is ${formatInterval(width.value, 'time')}; this driver needs ${needed}. It ${hedged(verdict, 'will', 'may')} miss some or all steps.${limitOf(axis, minHigh, minLow)}`;
  context.report({
    severity: unsaid ? atMost(verdict.severity, 'info') : verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: message + estimateNote(facts),
    causes,
    remedies: longer(context, axis, reading, minHigh, minLow),
    root: reading.place,
  });
}

/** " With 5 µs high and low it takes 100 000 steps a second: 312 mm/s." */
function limitOf(axis: Axis, minHigh: NumberFact, minLow: NumberFact | undefined): string {
  const steps = axis.number('stepsPerMm');
  if (!minLow || !steps) return '';
  const most = highestStepRate(minHigh.value.hi, minLow.value.hi);
  return ` It takes at most ${formatNumber(most, 6)} steps a second, ${formatQuantity(roundedDown(most / steps.value.hi), 'speed')}.`;
}

/** The driver's least time; with a lower speed where the pause would get too short by it. */
function longer(
  context: RuleContext,
  axis: Axis,
  width: Reading,
  minHigh: NumberFact,
  minLow: NumberFact | undefined,
): Remedy[] {
  const { settings } = context.machine;
  const wanted = roundedUp(minHigh.value.hi);
  const speed = axis.reading('maxSpeed');
  const rate = pulseRate(axis);
  const fits = !rate || !minLow || !shorter(1 / rate.value.hi - wanted, minLow.value.hi);
  if (fits || !speed || !axis.number('stepsPerMm')) return setSetting(context, width, { si: wanted }, {});
  const top = slowed(axis, wanted + minLow.value.hi);
  const edits = [settings.edit(width, { si: wanted }), settings.edit(speed, { si: top, digits: 4 })];
  const [first, second] = edits;
  if (!first || !second) return [];
  return [
    remedy(
      `Set ${nameOf(width)} to ${settings.spell(width, { si: wanted })} and ${axis.title}'s highest speed to ${formatQuantity(top, 'speed', { digits: 4 })}`,
      [first, second],
    ),
  ];
}

/** m/s at which a step takes `period` s. */
const slowed = (axis: Axis, period: number): number =>
  roundedDown(1 / period / (axis.number('stepsPerMm')?.value.hi ?? Number.POSITIVE_INFINITY), 3);

function checkPause(context: RuleContext, axis: Axis, { minHigh, minLow }: Needs): void {
  const reading = axis.reading('maxSpeed');
  const rate = pulseRate(axis);
  const edges = bothEdges(axis);
  const width = axis.number('minPulseWidth');
  if (!reading || !rate || !minLow) return;
  // What a width of 0 comes to is not known; the driver's own least time is the best that can be hoped for.
  const high = width && width.value.lo > 0 ? width : minHigh;
  if (!high && !edges) return;
  const facts = edges ? [...rate.facts, minHigh, minLow] : [...rate.facts, high, minLow];
  const pause = edges
    ? over([scale(rate.value, 2)], (f) => 1 / f)
    : over([rate.value, high?.value ?? minLow.value], (f, t) => 1 / f - t);
  const needed = edges && least(minHigh) > least(minLow) ? (minHigh ?? minLow) : minLow;
  const verdict = judge(extentOf([pause, needed.value], shorter), 'error', facts);
  if (!verdict) return;
  const causes = causesOf(context, reading.place, facts);
  const left =
    pause.hi > 0
      ? `leaves ${formatInterval(pause, 'time')} between two steps`
      : 'leaves no pause between two steps';
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `${formatNumber(rate.value.nom, 6)} step pulses a second on ${axis.title} ${left}; this driver needs ${formatInterval(needed.value, 'time')}. It ${hedged(verdict, 'will', 'may')} miss steps at full speed.${estimateNote(facts)}`,
    causes,
    remedies: lowerSpeed(context, axis, edges ? needed.value.hi : least(high) + needed.value.hi, minHigh),
    root: reading.place,
  });
}

/** A lower speed, or a shorter pulse where that is longer than the driver asks for. */
function lowerSpeed(
  context: RuleContext,
  axis: Axis,
  period: number,
  minHigh: NumberFact | undefined,
): Remedy[] {
  const reading = axis.reading('maxSpeed');
  if (!reading) return [];
  const si = slowed(axis, period);
  const title = `Lower ${axis.title}'s highest speed to ${formatQuantity(si, 'speed', { digits: 4 })}`;
  return [
    ...shorterPulse(context, axis, period, minHigh),
    ...setSetting(context, reading, { si, digits: 4 }, { title }),
  ];
}

function shorterPulse(
  context: RuleContext,
  axis: Axis,
  period: number,
  minHigh: NumberFact | undefined,
): Remedy[] {
  const reading = axis.reading('minPulseWidth');
  const width = axis.number('minPulseWidth');
  const rate = pulseRate(axis);
  if (!reading || !width || !minHigh || !rate || bothEdges(axis)) return [];
  const wanted = roundedUp(minHigh.value.hi);
  const saved = width.value.hi - wanted;
  return saved > 0 && !shorter(1 / rate.value.hi, period - saved)
    ? setSetting(context, reading, { si: wanted })
    : [];
}

function checkSetup(context: RuleContext, axis: Axis, needs: readonly Needs[]): void {
  const reading = axis.reading('dirSetup');
  const setup = axis.number('dirSetup');
  const [longest] = needs
    .flatMap(({ minSetup }) => (minSetup ? [minSetup] : []))
    .sort((a, b) => b.value.hi - a.value.hi);
  if (!reading || !setup || !longest) return;
  const facts = [setup, longest];
  const verdict = judge(extentOf([setup.value, longest.value], shorter), 'error', facts);
  const causes = causesOf(context, reading.place, facts);
  const needed = formatInterval(longest.value, 'time');
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `${formatInterval(setup.value, 'time')}, the driver needs ${needed}.`,
      causes,
    });
    return;
  }
  const unsaid = setup.value.hi === 0;
  context.report({
    severity: unsaid ? atMost(verdict.severity, 'info') : verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: unsaid
      ? `The direction of ${axis.title} leads its step by no stated time; this driver needs ${needed}. On a fast chip the first step after a turn may go the wrong way.${estimateNote(facts)}`
      : `The direction of ${axis.title} leads its step by ${formatInterval(setup.value, 'time')}; this driver needs ${needed}. The first step after a turn ${hedged(verdict, 'goes', 'may go')} the wrong way, and the axis creeps.${estimateNote(facts)}`,
    causes,
    remedies: setSetting(context, reading, { si: roundedUp(longest.value.hi) }),
    root: reading.place,
  });
}
