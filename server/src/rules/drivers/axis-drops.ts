import { isMissing, isScrew, screwAngles } from '../../machine/axisDrive';
import { axisMotors } from '../../machine/axisMotors';
import type { Axis, Machine } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { type Interval, over, point } from '../../model/interval';
import { effectiveRadius } from '../../physics/motion';
import { backDrivingTorque, hangingTorque } from '../../physics/screw';
import { STANDARD_GRAVITY } from '../../physics/stepper';
import { formatInterval } from '../../units';
import { asker } from '../axisTorque';
import { aboutDriver, withoutGaps } from '../currents';
import { causesOf, estimateNote, hedged, inWords, judge } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (lead: string, mark = '') => `
#define AXIS_Z_RELEASE_WHEN_IDLE 1${mark}
//- a.machine.json
{
  "name": "Example machine",
  "motors": { "small": { "detentTorque": "8 mN·m" } },
  "axes": {
    "z": {
      "motors": [{ "motor": "small" }],
      "transmission": {
        "kind": "screw", "lead": "${lead}", "pitchDiameter": "7 mm", "frictionCoefficient": 0.15
      },
      "movedMass": "1.8 kg", "vertical": true, "fallsOnto": "tool"
    }
  }
}`;

export default defineRule({
  id: 'drivers/axis-drops',
  title: 'A vertical axis sinks when its motors are released',
  what: 'Compares the torque with which the weight turns the screw or pulley back with what the motors hold without current.',
  why: 'The axis sinks onto whatever is below it when it is released or the power goes.',
  formula:
    'λ = atan(l/(π·d)), φ = atan(µ/cos α); T_back = m·g·(d/2)·tan(λ − φ), for belts m·g·r, against detent torque times motors',
  source:
    'machine-design handbooks (power screws); ISO 2901 for the half-angle; friction 0.10 to 0.20 where none is stated: from memory of these handbooks. Support before working under it: ISO 12100',
  severity: ['warning', 'info', 'hint'],
  caution: 'Support the axis before working under it.',
  bad: [
    example(
      '8 mm',
      '\n                                 ^ drivers/axis-drops: gravity gives 12.2 mN·m, the motor holds 8 mN·m',
    ),
  ],
  good: [example('2 mm')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

function checkAxis(context: RuleContext, axis: Axis): void {
  const { sheet, motor } = axis;
  const reading = aboutDriver(axis, 'releaseWhenIdle', 'idleCurrent');
  const about = reading ?? sheet?.place;
  if (!sheet || !about) return;
  const ask = asker(context, about, 'say whether it sinks when released');
  const key = `axes.${axis.axis}`;
  if (!sheet.vertical) {
    if (axis.axis === 'z')
      ask(`Say whether gravity pulls along ${axis.title} (${key}.vertical) on the machine sheet`);
    return;
  }
  if (!sheet.vertical.value || sheet.brake?.value) return;
  const place = reading?.place ?? sheet.place;
  if (!sheet.movedMass) {
    ask(`Weigh what ${axis.title} moves and add it (${key}.movedMass) to the machine sheet`);
    return;
  }
  const back = torqueOfWeight(axis, sheet.movedMass, ask);
  if (!back) return;
  const motors = axisMotors(axis);
  if (back.torque.hi <= 0) {
    context.agree({
      place,
      message: back.holdsBy,
      causes: causesOf(context, place, back.facts),
    });
    return;
  }
  if (!motors) {
    ask(`Add the axis's motors (${key}.motors) to the machine sheet`);
    return;
  }
  const detent = motor?.detentTorque;
  if (!detent) {
    if (motor)
      ask(
        `Add what the motor holds without current (motors.${motor.name}.detentTorque) to the machine sheet`,
      );
    return;
  }
  const holds = over([detent.value], (one) => one * motors.count);
  const facts = withoutGaps<unknown>([...back.facts, detent]);
  const share = over([back.torque, holds], (pulls, held) => pulls - held);
  const extent = share.lo > 1e-9 ? 'all' : share.hi > 1e-9 ? 'some' : 'none';
  const released = releases(context.machine, axis);
  const hurts =
    released?.value === true &&
    /nozzle|tool|hand|finger|head|spindle|cutter|pen/i.test(sheet.fallsOnto?.value ?? '');
  const verdict = judge(extent, hurts ? 'warning' : 'info', facts);
  const pulls = formatInterval(back.torque, 'torque');
  const causes = causesOf(context, place, [...facts, released?.fact, sheet.fallsOnto]);
  if (!verdict) {
    context.agree({
      place,
      message: `Gravity gives ${pulls}, ${motors.count > 1 ? 'the motors hold' : 'the motor holds'} ${formatInterval(holds, 'torque')} without current`,
      causes,
    });
    return;
  }
  const when =
    released?.value === true
      ? 'When the motors are released'
      : released?.value === false
        ? 'It is not released while idle, but when the power goes'
        : 'When the motors are released or the power goes';
  const onto = sheet.fallsOnto ? ` It can drop onto the ${sheet.fallsOnto.value.replace(/^the /, '')}.` : '';
  context.report({
    severity: verdict.severity,
    place,
    message: `${when}, ${axis.title} ${hedged(verdict, 'sinks', 'may sink')}: gravity gives ${pulls}, ${motors.count > 1 ? 'the motors hold' : 'the motor holds'} ${formatInterval(holds, 'torque')} without current.${onto}${estimateNote(facts)}`,
    concept: reading?.concept.id,
    root: place,
    causes,
    remedies: [
      ...(released?.value === false ? [] : [inWords(`No automatic release of ${axis.title}`)]),
      inWords(
        'A brake or a counterweight, noted on the machine sheet when it is fitted ("brake"), or a screw of smaller lead',
      ),
    ],
  });
}

interface Back {
  /** N·m at the motor; negative or zero when the screw holds by itself. */
  readonly torque: Interval;
  readonly facts: readonly Fact<unknown>[];
  /** Why nothing turns back, where nothing does. */
  readonly holdsBy: string;
}

function torqueOfWeight(axis: Axis, mass: NumberFact, ask: (question: string) => void): Back | undefined {
  const { sheet, travelPerTurn } = axis;
  const transmission = sheet?.transmission;
  const ratio = transmission?.gearRatio;
  const gear = ratio?.value ?? point(1);
  const key = `axes.${axis.axis}.transmission`;
  // What the guides hold, as it was measured, does not reach screw or pulley.
  const held = sheet?.friction?.quality === 'estimated' ? undefined : sheet?.friction;
  const carried = over([mass.value, held?.value ?? point(0)], (kilograms, newtons) =>
    Math.max(kilograms - newtons / STANDARD_GRAVITY, 0),
  );
  if (transmission && isScrew(transmission)) {
    const screw = screwAngles(transmission, key);
    if (isMissing(screw)) {
      ask(screw.missing);
      return undefined;
    }
    const torque = over(
      [carried, screw.pitchDiameter, screw.lead, screw.friction, gear],
      (kilograms, diameter, lead, friction, turns) =>
        backDrivingTorque(kilograms, diameter, lead, friction) / turns,
    );
    const holdsBy = `The screw holds by itself: its lead angle, ${formatInterval(screw.lead, 'angle')}, is no larger than its friction angle, ${formatInterval(screw.friction, 'angle')}`;
    return { torque, facts: withoutGaps<unknown>([mass, held, ...screw.facts, ratio]), holdsBy };
  }
  if (!travelPerTurn) {
    ask(`Add the screw's lead, or the belt's pitch and teeth (${key}), to the machine sheet`);
    return undefined;
  }
  const torque = over(
    [carried, travelPerTurn.value, gear],
    (kilograms, travel, turns) => hangingTorque(kilograms, effectiveRadius(travel)) / turns,
  );
  const facts = withoutGaps<unknown>([mass, held, travelPerTurn, ratio]);
  return { torque, facts, holdsBy: 'The friction of the guides holds the weight' };
}

/** Whether the firmware lets go of the axis by itself; nothing when nobody says. */
function releases(machine: Machine, axis: Axis): { value: boolean; fact?: Fact<unknown> } | undefined {
  const own = axis.switch('releaseWhenIdle');
  if (own) return { value: own.value, fact: own };
  const timeout = machine.settings.number('motion.motorIdleTimeout');
  if (timeout) return { value: timeout.value.nom > 0, fact: timeout };
  const firmware = machine.sheet?.firmware?.releasesWhenIdle;
  return firmware && { value: firmware.value, fact: firmware };
}
