import type { Axis } from '../../machine/machine';
import { diagonalDemand, isStepBudget, type StepDemand, stepBudget } from '../../machine/stepBudget';
import type { Fact } from '../../model/fact';
import type { Interval } from '../../model/interval';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import {
  causesOf,
  estimateNote,
  hedged,
  judgeSteps,
  listed,
  percent,
  remedy,
  roundedDown,
  setSetting,
  type Verdict,
} from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { microstepsOf } from '../steps';

export default defineRule({
  id: 'motion/step-rate-over',
  title: 'More steps a second than the board makes',
  what: 'The highest speed times the steps per mm asks for more step pulses than the board can send.',
  why: 'The board slows down, stutters or loses steps.',
  formula:
    'f = v·k (half with steps on both edges) ≤ rate[n] for n axes moving together; coupled belts: a motor sees |vx| + |vy|, a plain move turns two motors; delta: three',
  source: 'geometry; the rates are those of the board profile; the note above 80 %: common practice',
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [
    `
    #define AXIS_X_STEPS_PER_MM 320
    #define AXIS_X_MAX_SPEED_MM_PER_S 400
                                      ^^^ motion/step-rate-over: 128 000 steps a second
    //- a.board.json
    { "name": "Example board", "stepRates": { "1": "120 kHz", "2": "80 kHz", "3": "60 kHz" } }
    `,
  ],
  good: [
    `
    #define AXIS_X_STEPS_PER_MM 80
    #define AXIS_X_MAX_SPEED_MM_PER_S 400
    //- a.board.json
    { "name": "Example board", "stepRates": { "1": "120 kHz", "2": "80 kHz", "3": "60 kHz" } }
    `,
  ],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
    checkDiagonal(context);
  },
});

/** Share of the board's rate from which it is worth knowing. Common practice. */
const NOTE = 0.8;

interface Demand extends StepDemand {
  readonly rate: Interval;
  readonly verdict: Verdict & { readonly over: boolean };
}

function checkAxis(context: RuleContext, axis: Axis): void {
  const { machine } = context;
  const reading = axis.reading('maxSpeed');
  const budget = stepBudget(machine, axis);
  if (!reading || !budget) return;
  if (!isStepBudget(budget)) {
    context.need(undefined, reading, budget.question);
    return;
  }
  const slows = machine.sheet?.firmware?.slowsDownBySelf;
  const facts = [...budget.facts, slows?.value ? slows : undefined];
  const demands = budget.demands.map((demand): Demand => {
    const over: Severity = demand.mix || slows?.value ? 'warning' : 'error';
    const verdict = judgeSteps(
      demand.share,
      [
        { above: 1, severity: over },
        { above: NOTE, severity: 'info' },
      ],
      [...facts, demand.limit],
    );
    const judged = verdict ? { ...verdict, over: verdict.step.above === 1 } : NONE;
    return { ...demand, rate: budget.value, verdict: judged };
  });
  const failing = demands.filter(({ verdict }) => verdict !== NONE);
  const worst = [...failing].sort(
    (a, b) =>
      order(a.verdict.severity) - order(b.verdict.severity) ||
      Number(b.verdict.over) - Number(a.verdict.over) ||
      a.motors - b.motors,
  )[0];
  const causes = causesOf(context, reading.place, [...facts, ...demands.map(({ limit }) => limit)]);
  if (!worst) {
    const tightest = [...demands].sort((a, b) => b.share.nom - a.share.nom)[0];
    if (tightest) {
      context.agree({
        place: reading.place,
        message: `${formatInterval(budget.value, 'frequency')} of ${formatInterval(tightest.limit.value, 'frequency')} with ${axesWord(tightest.motors)} (${percent(tightest.share.nom, 2)})`,
        causes,
      });
    }
    return;
  }
  report(context, axis, worst, demands, facts, causes);
}

const NONE = { severity: 'hint', certain: true, estimated: false, over: false } as const;

const order = (severity: Severity): number => ['error', 'warning', 'info', 'hint'].indexOf(severity);

const axesWord = (motors: number): string =>
  motors === 1 ? 'one axis moving' : `${NUMBERS[motors] ?? motors} axes moving`;
const NUMBERS: Readonly<Record<number, string>> = { 2: 'two', 3: 'three', 4: 'four', 5: 'five', 6: 'six' };

function report(
  context: RuleContext,
  axis: Axis,
  worst: Demand,
  demands: readonly Demand[],
  facts: readonly (Fact<unknown> | undefined)[],
  causes: ReturnType<typeof causesOf>,
): void {
  const reading = axis.reading('maxSpeed');
  const speed = axis.number('maxSpeed');
  const steps = axis.number('stepsPerMm');
  if (!reading || !speed || !steps) return;
  const asked = `${formatInterval(speed.value, 'speed')} at ${formatQuantity(steps.value.nom, 'stepsPerLength')} is ${formatNumber(worst.rate.nom, 3)} steps a second on ${axis.title}`;
  const makes = `with ${axesWord(worst.motors)} the board makes ${formatInterval(worst.limit.value, 'stepRate').replace(/ ?\u00a0?steps\/s$/, '')}`;
  const limits = demands
    .filter(({ verdict }) => verdict.over)
    .map(
      ({ motors, share }) =>
        `${formatQuantity(speedAt(speed.value.nom, share), 'speed', { digits: 4 })} (${axesWord(motors)})`,
    );
  const effect = worst.verdict.over
    ? ` It ${hedged(worst.verdict, 'will', 'may')} slow down, stutter or lose steps above ${listed(limits)}.`
    : ` That is ${percent(worst.share.nom, 2)} of what it can.`;
  context.report({
    severity: worst.verdict.severity,
    place: reading.place,
    message: `${asked}; ${makes}.${effect}${estimateNote([...facts, worst.limit])}`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: worst.verdict.over ? remedies(context, axis, demands, speed.value.nom) : [],
  });
}

const speedAt = (speed: number, share: Interval): number => speed / share.hi;

/**
 * Half the microsteps with half the steps per mm, where the driver has them; or a lower speed. Not the very limit, which the message
 * names: at the limit the board has nothing left.
 */
function remedies(context: RuleContext, axis: Axis, demands: readonly Demand[], speed: number): Remedy[] {
  const reading = axis.reading('maxSpeed');
  const most = Math.max(...demands.map(({ share }) => share.hi));
  const lower = roundedDown((speed * NOTE) / most);
  const title = `Lower ${axis.title}'s highest speed to ${formatQuantity(lower, 'speed')}, ${percent(NOTE)} of what the board makes`;
  const slower = reading ? setSetting(context, reading, { si: lower, digits: 4 }, { title }) : [];
  return [...halved(context, axis, most), ...slower];
}

function halved(context: RuleContext, axis: Axis, most: number): Remedy[] {
  const { settings } = context.machine;
  const [microsteps, steps] = [axis.reading('microsteps'), axis.reading('stepsPerMm')];
  const [count, perMetre] = [axis.number('microsteps')?.value.nom, axis.number('stepsPerMm')?.value.nom];
  const driver = axis.drivers[0];
  if (!microsteps || !steps || !count || !perMetre || count % 2 !== 0 || most > 2 * NOTE) return [];
  if (driver?.microstepControl?.value === 'jumpers' || !microstepsOf(axis)) return [];
  if (driver?.family?.microsteps && !driver.family.microsteps.value.includes(count / 2)) return [];
  const edits = [
    settings.edit(microsteps, { si: count / 2 }),
    settings.edit(steps, { si: perMetre / 2, digits: 6 }),
  ];
  const [first, second] = edits;
  return first && second
    ? [
        remedy(
          `Microsteps ${count} → ${count / 2} with steps per mm ${formatNumber(perMetre / 1000, 5)} → ${formatNumber(perMetre / 2000, 5)}`,
          [first, second],
        ),
      ]
    : [];
}

/** Coupled belts: on a diagonal one motor runs at the sum of both speeds, the other stands. */
function checkDiagonal(context: RuleContext): void {
  const { machine } = context;
  const demand = diagonalDemand(machine);
  const reading = machine.axes.find(({ axis }) => axis === 'x')?.reading('maxSpeed');
  if (!demand || !reading) return;
  const { value: rate, facts, speed, limit, share } = demand;
  const verdict = judgeSteps(
    share,
    [
      { above: 1, severity: 'warning' },
      { above: NOTE, severity: 'info' },
    ],
    [...facts, limit],
  );
  if (!verdict) return;
  const effect =
    verdict.step.above === 1
      ? `It ${hedged(verdict, 'will', 'may')} slow down, stutter or lose steps.`
      : `That is ${percent(share.nom, 2)} of what it can.`;
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `On a 45° line one motor of the coupled belts runs at ${formatInterval(speed, 'speed')}, ${formatNumber(rate.nom, 4)} steps a second; the board makes ${formatInterval(limit.value, 'frequency')} with one axis moving. ${effect}${estimateNote([...facts, limit])}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [...facts, limit]),
  });
}
