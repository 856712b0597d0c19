import type { DriverSocket } from '../../board/profile';
import type { Axis } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { over, point } from '../../model/interval';
import { effectiveRadius } from '../../physics/motion';
import { microstepTorque } from '../../physics/stepper';
import type { Reading } from '../../settings/reading';
import { formatNumber, formatQuantity } from '../../units';
import { withoutGaps } from '../currents';
import { causesOf, estimateNote, exceeds, judge, listed, remedy, setFact, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { geometricSteps } from '../steps';

const example = (microsteps: string, mark = '') => `
//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_MICROSTEPS ${microsteps}${mark}
//- a.board.json
{
  "name": "Example board",
  "drivers": { "X": { "stepPin": "PC0", "family": "drv8825", "microstepControl": "jumpers", "microstepJumpers": 16 } }
}`;

export default defineRule({
  id: 'drivers/microstep-unsupported',
  title: 'Microsteps that the driver does not make',
  what: 'Compares the microsteps in the settings with the jumpers, or with the choices of the driver.',
  why: 'With other microsteps than the settings count on, every move is too long or too short by their ratio.',
  formula:
    'µ = jumpers, where they set it; else µ ∈ choices of the family. Torque of one microstep: T_h·(I/I_rated)·sin(90°/µ)',
  source: "the driver's data sheet; stepping-motor textbooks for the torque of a microstep",
  severity: ['error', 'hint'],
  bad: [
    example(
      '32',
      '\n                          ^^ drivers/microstep-unsupported: Jumpers give 16 microsteps, the settings count on 32',
    ),
  ],
  good: [example('16')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

function checkAxis(context: RuleContext, axis: Axis): void {
  const reading = axis.reading('microsteps');
  const set = axis.number('microsteps');
  if (!reading || !set || !context.machine.board) return;
  let checked = false;
  for (const socket of axis.drivers) {
    const jumpers = socket.microstepControl?.value === 'jumpers' ? socket.microstepJumpers : undefined;
    const options = socket.family?.microsteps;
    if (!jumpers && !options) continue;
    checked = true;
    if (jumpers && jumpers.value !== set.value.nom) {
      reportJumpers(context, axis, reading, jumpers);
      return;
    }
    if (!jumpers && options && !options.value.includes(set.value.nom)) {
      reportOptions(context, axis, socket, options);
      return;
    }
  }
  if (!checked) {
    const jumpered = axis.drivers[0]?.microstepControl?.value === 'jumpers';
    context.need(
      undefined,
      reading,
      jumpered
        ? 'Add what the jumpers under the driver give ("drivers", "microstepJumpers") to the board profile or the machine sheet and I can check these microsteps'
        : 'Add the family of the driver in this socket ("drivers", "family") to the board profile or the machine sheet and I can check these microsteps',
    );
    return;
  }
  if (!noteTorque(context, axis, reading, set)) {
    const [socket] = axis.drivers;
    const how = socket?.microstepControl?.value === 'jumpers' ? 'as the jumpers give' : 'the driver has them';
    context.agree({
      place: reading.place,
      message: `${set.value.nom} microsteps, ${how}`,
      causes: causesOf(context, reading.place, [socket?.microstepJumpers, socket?.family?.microsteps]),
    });
  }
}

function reportJumpers(context: RuleContext, axis: Axis, reading: Reading, jumpers: Fact<number>): void {
  const set = axis.number('microsteps')?.value.nom ?? 1;
  const times = set / jumpers.value;
  const fits = stepsFit(axis, jumpers.value);
  const factor =
    times >= 1 ? `${formatNumber(times)} times as far` : `only ${formatNumber(100 * times)} % as far`;
  const effect = fits
    ? ' The steps per mm are those of the jumpers, so moves are right, but whatever else counts microsteps is not.'
    : ` Everything moves ${times === 2 ? 'twice as far' : times === 0.5 ? 'half as far' : factor}.`;
  context.report({
    severity: 'error',
    place: reading.place,
    message: `Jumpers give ${jumpers.value} microsteps, the settings count on ${set}.${effect}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [jumpers]),
    remedies: [
      ...withSteps(context, axis, jumpers.value, fits),
      ...setFact(jumpers, set, `The jumpers do give ${set}: correct where they are written down`),
    ],
  });
}

function reportOptions(
  context: RuleContext,
  axis: Axis,
  socket: DriverSocket,
  options: Fact<readonly number[]>,
): void {
  const reading = axis.reading('microsteps');
  const set = axis.number('microsteps')?.value.nom;
  if (!reading || set === undefined) return;
  const choices = [...options.value].sort((a, b) => a - b);
  const below = choices.filter((choice) => choice < set).at(-1) ?? choices[0];
  context.report({
    severity: 'error',
    place: reading.place,
    message: `${formatNumber(set)} microsteps are no choice of ${socket.family?.title ?? 'this driver'}, which has ${listed(choices.map(String))}. What it makes of them is anybody's guess.`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [options]),
    remedies: below === undefined ? [] : withSteps(context, axis, below, stepsFit(axis, below)),
  });
}

/** Whether the steps per mm are already those of `microsteps`; false too where that cannot be told. */
function stepsFit(axis: Axis, microsteps: number): boolean {
  const needed = geometricSteps(axis);
  const [set, counted] = [axis.number('stepsPerMm'), axis.number('microsteps')];
  if (!needed || !set || !counted) return false;
  return Math.abs((set.value.nom / needed.value.nom) * (counted.value.nom / microsteps) - 1) < 0.05;
}

/** Other microsteps with the steps per mm that belong to them, one edit; only the microsteps where the steps are right already. */
function withSteps(context: RuleContext, axis: Axis, microsteps: number, fits: boolean): Remedy[] {
  const { settings } = context.machine;
  const [reading, steps] = [axis.reading('microsteps'), axis.reading('stepsPerMm')];
  const [set, perMetre] = [axis.number('microsteps'), axis.number('stepsPerMm')];
  if (!reading || !set) return [];
  if (fits || !steps || !perMetre) return setSetting(context, reading, { si: microsteps });
  const scaled = (perMetre.value.nom * microsteps) / set.value.nom;
  const edits = [settings.edit(reading, { si: microsteps }), settings.edit(steps, { si: scaled, digits: 8 })];
  const [first, second] = edits;
  return first && second
    ? [
        remedy(
          `Microsteps ${set.value.nom} → ${microsteps} with steps per mm ${formatNumber(perMetre.value.nom / 1000, 6)} → ${formatNumber(scaled / 1000, 6)}`,
          [first, second],
        ),
      ]
    : [];
}

/**
 * A level that adds no accuracy: already one of half as many microsteps pulls with less than friction holds. A single microstep below
 * friction is usual and no news. True when something was said.
 */
function noteTorque(context: RuleContext, axis: Axis, reading: Reading, set: NumberFact): boolean {
  const { motor, sheet, travelPerTurn } = axis;
  const [holding, rated, friction] = [motor?.holdingTorque, motor?.ratedCurrent, sheet?.friction];
  const current = axis.number('motorCurrent');
  if (!holding || !rated || !friction || !travelPerTurn || !current || axis.feed) return false;
  // Only where it is certain by the sheet's own words: a single motor at a current that is set.
  if (sheet?.motors.length !== 1 || set.value.nom < 2) return false;
  const ratio = sheet.transmission?.gearRatio?.value ?? point(1);
  const moves = over(
    [holding.value, current.value, rated.value],
    (torque, amperes, plate) => torque * (amperes / plate) * microstepTorque(set.value.nom),
  );
  const coarser = over(
    [moves],
    (torque) => (torque * microstepTorque(set.value.nom / 2)) / microstepTorque(set.value.nom),
  );
  const resists = over(
    [friction.value, travelPerTurn.value, ratio],
    (newtons, travel, gear) => (newtons * effectiveRadius(travel)) / gear,
  );
  const facts = withoutGaps<unknown>([set, holding, current, rated, friction, travelPerTurn]);
  const verdict = judge(exceeds(resists.lo, coarser.hi) ? 'all' : 'none', 'hint', facts);
  if (!verdict) return false;
  context.report({
    severity: 'hint',
    place: reading.place,
    message: `One of ${set.value.nom} microsteps pulls with ${formatQuantity(moves.nom, 'torque')}, one of ${set.value.nom / 2} with ${formatQuantity(coarser.nom, 'torque')}, friction holds with ${formatQuantity(resists.nom, 'torque')}: so many run quieter, but add no accuracy of position.${estimateNote(facts)}`,
    concept: reading.concept.id,
    causes: causesOf(context, reading.place, facts),
  });
  return true;
}
