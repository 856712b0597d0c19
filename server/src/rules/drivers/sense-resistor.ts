import { axisMotors } from '../../machine/axisMotors';
import { axisCurrent, driverCurrents, onlyDriver } from '../../machine/driverCurrent';
import type { Axis } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { type Interval, over, point } from '../../model/interval';
import { currentWithOtherSense, rmsOf } from '../../physics/stepper';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { driverRating, lowerCurrent, withoutGaps } from '../currents';
import {
  causesOf,
  estimateNote,
  exceeds,
  hedged,
  inWords,
  judge,
  judgeSteps,
  setSetting,
  type Verdict,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (ohms: string, mark = '') => `
//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_MOTOR_CURRENT_A 0.8
#define AXIS_X_SENSE_RESISTOR_OHM ${ohms}${mark}
//- a.board.json
{ "name": "Example board", "drivers": { "X": { "stepPin": "PC0", "senseResistor": "0.05 Ω" } } }`;

export default defineRule({
  id: 'drivers/sense-resistor',
  title: 'Sense resistor of another board',
  what: 'The settings compute the current with another sense resistor than the one beside the driver, or the reference voltage gives another current.',
  why: 'Half the resistance is twice the current and four times the heat.',
  formula:
    'I_real = I_set·R_setting/R_board, resistance of bond wires and tracks added to both; by a reference voltage Ipk = V_ref/(g·R)',
  source: "the driver's data sheet; 10 % (resistor and reference tolerance) and 30 %: common practice",
  severity: ['error', 'warning', 'info'],
  caution: 'Hot surface. Never turn a reference trimmer with a metal tool under power.',
  bad: [
    example(
      '0.10',
      '\n                                  ^^^^ drivers/sense-resistor: 1.6 A instead of 0.8 A',
    ),
  ],
  good: [example('0.05')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

/** Share either way that tolerances explain, and share above which it is no slip of tolerances. Common practice. */
const TOLERANCE = 0.1;
const FAR = 0.3;

interface Compared {
  /** Where the wrong number is. */
  readonly reading: Reading;
  /** Real current over the one that is meant. */
  readonly ratio: Interval;
  /** A rms that is meant and that flows; absent when only the resistors are known. */
  readonly meant?: Interval;
  readonly real?: Interval;
  readonly facts: readonly Fact<unknown>[];
  readonly cause: string;
  readonly remedies: () => Remedy[];
}

function checkAxis(context: RuleContext, axis: Axis): void {
  for (const compared of [byResistor(context, axis), byReference(context, axis)])
    if (compared) judgeRatio(context, axis, compared);
}

/** The resistor that the settings count on against the one on the board. */
function byResistor(context: RuleContext, axis: Axis): Compared | undefined {
  const reading = axis.reading('senseResistor');
  const assumed = axis.number('senseResistor');
  if (!reading || !assumed || !context.machine.board) return undefined;
  const driver = onlyDriver(axis);
  if (!driver && axis.drivers.length > 0) return undefined;
  const fitted = context.need(
    driver?.senseResistor,
    reading,
    `Read the resistor beside the driver (R100 is 0.10 Ω, R050 is 0.05 Ω) and add it ("drivers", "senseResistor") to the board profile and I can check this one`,
  );
  if (!fitted) return undefined;
  const extra = driver?.family?.current?.extraResistance;
  const values = [assumed.value, fitted.value, extra?.value ?? point(0)];
  const ratio = over(values, (set, board, more) => currentWithOtherSense(1, set + more, board + more));
  const set = axis.number('motorCurrent');
  const [said, is] = [assumed, fitted].map((fact) =>
    formatQuantity(fact.value.nom, 'resistance', { unit: 'Ω' }),
  );
  const title = `Set it to ${is}, the board's`;
  return {
    reading,
    ratio,
    meant: set?.value,
    real: set && over([set.value, ratio], (amperes, times) => amperes * times),
    facts: withoutGaps<unknown>([assumed, fitted, extra, set]),
    cause: `The settings count on ${said} at ${axis.title}'s driver, this board has ${is}`,
    // A resistor set too small makes the real current too small: putting it right raises the current.
    remedies: () =>
      ratio.nom > 1
        ? setSetting(context, reading, { si: fitted.value.nom, digits: 6 }, { title })
        : [inWords(`${title}; the current then rises to what is set`)],
  };
}

/** The current that a reference voltage gives against the one in the settings. */
function byReference(context: RuleContext, axis: Axis): Compared | undefined {
  const reading = axis.reading('motorCurrent');
  const set = axis.number('motorCurrent');
  const given = driverCurrents(context.machine, axis).find(({ kind }) => kind === 'reference');
  const driver = onlyDriver(axis);
  if (!reading || !set || !given || !driver?.senseResistor) return undefined;
  const real = over([given.peak], rmsOf);
  const ratio = over([real, set.value], (flows, said) => flows / said);
  // Peak for rms is names/unit-suspicion's, which knows the factor.
  if ([Math.SQRT2, Math.SQRT1_2].some((factor) => Math.abs(ratio.nom / factor - 1) < 0.005)) return undefined;
  const reference = formatQuantity(given.facts[0] ? nominal(given.facts[0]) : 0, 'voltage');
  const ohms = formatQuantity(driver.senseResistor.value.nom, 'resistance', { unit: 'Ω' });
  const current = { rms: { ...set, value: real }, kind: 'reference', facts: given.facts } as const;
  return {
    reading,
    ratio,
    meant: set.value,
    real,
    facts: [...given.facts, set],
    cause: `${reference} at the reference of ${axis.title}'s driver with ${ohms} is ${formatQuantity(given.peak.nom, 'current')} peak`,
    remedies: () =>
      ratio.nom > 1
        ? lowerCurrent(context, axis, current, set.value.nom, { settingIsRight: true })
        : [
            inWords(
              `Raise the reference voltage until it gives the current that is set, or set the current that it gives`,
            ),
          ],
  };
}

const nominal = (fact: Fact<unknown>): number => (fact as NumberFact).value.nom;

function judgeRatio(context: RuleContext, axis: Axis, compared: Compared): void {
  const { reading, ratio, meant, real, facts, cause } = compared;
  const causes = causesOf(context, reading.place, facts);
  const above = judgeSteps(
    ratio,
    [
      { above: 1 + FAR, severity: 'error' },
      { above: 1 + TOLERANCE, severity: 'warning' },
    ],
    facts,
    { firm: true },
  );
  const floor = 1 - TOLERANCE;
  const below = judge(
    exceeds(floor, ratio.hi) ? 'all' : exceeds(floor, ratio.lo) ? 'some' : 'none',
    'warning',
    facts,
  );
  const rated = above && overRating(context, axis, real, facts, meant);
  const verdict = rated && !(above.severity === 'error') ? rated.verdict : (above ?? below);
  const figures = meant &&
    real && { meant: formatInterval(meant, 'current'), real: formatInterval(real, 'current') };
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: figures ? `${cause}: ${figures.real} for ${figures.meant} set` : `${cause}: as set`,
      causes,
    });
    return;
  }
  const who = (axisMotors(axis)?.count ?? 1) > 1 ? 'Your motors' : 'Your motor';
  const gets = figures
    ? `${who} ${hedged(verdict, 'would', 'may')} get ${figures.real} instead of ${figures.meant}`
    : `${who} ${hedged(verdict, 'would', 'may')} get ${formatNumber(ratio.nom, 3)} times the current that is meant`;
  const heat = ratio.nom > 1 ? `, ${formatNumber(ratio.nom ** 2, 2)} times the heat` : '';
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `${cause}. ${gets}${heat}${rated ? `, and ${rated.text}` : ''}.${estimateNote([...facts, rated?.fact])}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [...facts, rated?.fact]),
    remedies: compared.remedies(),
  });
}

/** Whether the real current is over what motor or driver are made for, where the current that is meant is not. */
function overRating(
  { machine }: RuleContext,
  axis: Axis,
  real: Interval | undefined,
  facts: readonly Fact<unknown>[],
  meant: Interval | undefined,
): { verdict: Verdict; text: string; fact: NumberFact } | undefined {
  const driver = onlyDriver(axis);
  const motors = axisMotors(axis);
  const sharing = motors?.joined === 'parallel' ? motors.count : 1;
  if (!real || !meant || !axisCurrent(machine, axis)) return undefined;
  const limits = [
    { fact: axis.motor?.ratedCurrent, share: 1 / sharing, name: 'motor' },
    { fact: driver && driverRating(driver), share: 1, name: 'driver' },
  ];
  for (const { fact, share, name } of limits) {
    if (!fact || exceeds(meant.hi * share, fact.value.hi)) continue;
    if (!exceeds(real.lo * share, fact.value.hi)) continue;
    const verdict = judge('all', 'error', [...facts, fact], { firm: true });
    const text = `the ${name} is made for ${formatQuantity(fact.value.nom, 'current')}`;
    if (verdict) return { verdict, text, fact };
  }
  return undefined;
}
