import { axisMotors } from '../../machine/axisMotors';
import { axisCurrent } from '../../machine/driverCurrent';
import type { Axis } from '../../machine/machine';
import { standards } from '../../machine/standards';
import { over, point, scale } from '../../model/interval';
import { windingTemperature } from '../../physics/stepper';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { currentPlace, lowerCurrent, motorAmbient, withoutGaps } from '../currents';
import {
  causesOf,
  estimateNote,
  hedged,
  judgeSteps,
  percent,
  roundedDown,
  setSetting,
  type Verdict,
} from '../kit';
import { defineRule, type Remedy, type RuleContext, severities } from '../rule';

const example = (current: string, mark = '') => `
#define AXIS_X_MOTOR_CURRENT_A ${current}${mark}
//- a.machine.json
{
  "name": "Example machine",
  "motors": { "small": { "ratedCurrent": "1.0 A" } },
  "axes": { "x": { "motors": [{ "motor": "small" }] } }
}`;

export default defineRule({
  id: 'drivers/current-over-motor',
  title: 'More current than the motor is made for',
  what: "Compares the current in each motor with its plate, and the windings' temperature at standstill with their class.",
  why: 'Windings age quickly above their class; plastic mounts soften long before.',
  formula:
    'T ≈ T_room + 80 K·(I/I_rated)² at standstill, with the idle current where one is set; motors in parallel share the current',
  source:
    'NEMA ICS 16, IEC 60034-1, IEC 60085: class B, 130 °C, 80 K rise; 120 % of the plate: common practice',
  severity: ['error', 'warning', 'info'],
  caution: 'Hot surface: a motor at its rated current can burn fingers.',
  bad: [
    example('1.4', '\n                               ^^^ drivers/current-over-motor: 1.96 times the heat'),
  ],
  good: [example('0.8')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

/** °C of a class B winding. */
const windingMax = (): number => standards().motor.windingMax.value.nom;
/** K that a class B motor rises at its rated current. */
const ratedRise = (): number => standards().motor.ratedRise.value.nom;

function checkAxis(context: RuleContext, axis: Axis): void {
  const { machine } = context;
  const current = axisCurrent(machine, axis);
  if (!current) return;
  const { reading, place } = currentPlace(axis, current);
  const about = reading ?? place;
  if (!about || !place) return;
  const motors = axisMotors(axis);
  const key = `axes.${axis.axis}`;
  const plate = axis.motor
    ? `Read the current from the motor's plate and add it (motors.${axis.motor.name}.ratedCurrent) to the machine sheet`
    : `Add the axis's motor (${key}.motors) with its rated current to the machine sheet`;
  if (axis.sheet?.motors[0]?.motor && !axis.motor) return;
  const rated = context.need(axis.motor?.ratedCurrent, about, `${plate} and I can check this current`);
  if (!rated) return;
  if (motors && !motors.joined) {
    context.need(
      undefined,
      about,
      `Add how the ${motors.count} motors share drivers (${key}.joined) to the machine sheet and I can check this current`,
    );
    return;
  }
  const sharing = motors?.joined === 'parallel' ? motors.count : 1;
  const idle = idleOf(axis);
  const ambient = motorAmbient(machine);
  const facts = withoutGaps([...current.facts, rated, motors?.fact]);
  const each = over([current.rms.value], (amperes) => amperes / sharing);
  const share = over([each, rated.value], (amperes, most) => amperes / most);
  const still = over([ambient.value, (idle ?? current.rms).value, rated.value], (room, amperes, most) =>
    windingTemperature(room, amperes / sharing, most, ratedRise()),
  );
  const load = judgeSteps(
    share,
    [
      { above: 1.2, severity: 'error' },
      { above: 1, severity: 'warning' },
    ],
    facts,
    { firm: true },
  );
  const heat = judgeSteps(
    still,
    [{ above: windingMax(), severity: 'warning' }],
    withoutGaps([...facts, idle, ambient]),
  );
  const amperes = formatInterval(each, 'current');
  const plateText = formatInterval(rated.value, 'current');
  const all = withoutGaps([...facts, idle, ambient]);
  const causes = causesOf(context, place, all);
  const worst = worse(load, heat);
  if (!worst) {
    context.agree({
      place,
      message: `${amperes} in a motor for ${plateText} (${percent(share.nom, 2)}); windings near ${formatQuantity(still.nom, 'temperature')} at standstill`,
      causes,
    });
    return;
  }
  const standing = idle
    ? `An idle current of ${formatInterval(scale(idle.value, 1 / sharing), 'current')}`
    : amperes;
  const shared = sharing > 1 ? `Each of ${sharing} motors in parallel gets ${amperes}. ` : '';
  const times = `${formatNumber(share.nom ** 2, 3)} times the heat it is made for`;
  const moving = idle ? ' while it moves' : '';
  const hot = `windings ${hedged(worst, 'come', 'may come')} near ${formatQuantity(worst.certain ? still.nom : still.hi, 'temperature')} if it stands still long enough, limit ${formatQuantity(windingMax(), 'temperature')}`;
  const effect = load
    ? `${shared}${amperes} in a motor for ${plateText} ${hedged(load, 'makes', 'may make')} ${times}${moving}${idle && !heat ? '' : `: ${hot}`}.`
    : `${shared}${standing} in a motor for ${plateText}, with ${formatInterval(ambient.value, 'temperature')} around it: ${hot}.`;
  const bearable = Math.sqrt(Math.max(windingMax() - ambient.value.hi, 0) / ratedRise());
  const limit = Math.min(1, idle ? 1 : bearable) * rated.value.lo * sharing;
  const idleReading = heat && idle ? axis.reading('idleCurrent') : undefined;
  context.report({
    severity: worst.severity,
    place,
    message: `${effect} Plastic mounts soften long before.${estimateNote(all)}`,
    concept: reading?.concept.id,
    root: place,
    causes,
    remedies: [
      ...lowerCurrent(context, axis, current, limit),
      ...(idleReading ? lowerIdle(context, axis, idleReading, bearable * rated.value.lo * sharing) : []),
    ],
  });
}

function lowerIdle(context: RuleContext, axis: Axis, reading: Reading, rms: number): Remedy[] {
  const si = roundedDown(rms, 2);
  const title = `Lower ${axis.title}'s idle current to ${formatQuantity(si, 'current')}`;
  return si > 0 ? setSetting(context, reading, { si, digits: 3 }, { title }) : [];
}

/** An idle current that is lower than the moving one counts for standstill. */
function idleOf(axis: Axis) {
  const idle = axis.number('idleCurrent');
  const moving = axis.number('motorCurrent') ?? { value: point(Number.POSITIVE_INFINITY) };
  return idle && idle.value.nom < moving.value.nom ? idle : undefined;
}

function worse(...verdicts: readonly (Verdict | undefined)[]): Verdict | undefined {
  return verdicts
    .filter((verdict) => verdict !== undefined)
    .sort(
      (a, b) =>
        severities.indexOf(a.severity) - severities.indexOf(b.severity) ||
        Number(b.certain) - Number(a.certain),
    )[0];
}
