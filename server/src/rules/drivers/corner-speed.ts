import { axisDrive, isMissing } from '../../machine/axisDrive';
import type { Axis } from '../../machine/machine';
import { over } from '../../model/interval';
import { availableTorque } from '../../physics/stepper';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { asker, fullTorqueUpTo } from '../axisTorque';
import { causesOf, estimateNote, exceeds, inWords, judge, roundedDown, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (volts: string, mark = '') => `
#define AXIS_X_MOTOR_CURRENT_A 1.06
#define AXIS_X_MAX_SPEED_MM_PER_S 500${mark}
//- a.machine.json
{
  "name": "Example machine",
  "supply": { "voltage": "${volts}" },
  "motors": {
    "small": {
      "stepAngle": "1.8°", "ratedCurrent": "1.5 A", "holdingTorque": "0.40 N·m", "inductance": "3 mH", "resistance": "1.6 Ω"
    }
  },
  "axes": { "x": { "motors": [{ "motor": "small" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } } }
}`;

export default defineRule({
  id: 'drivers/corner-speed',
  title: 'Faster than the supply can press the current in',
  what: 'The highest speed lies far above the one up to which the motor has its full torque.',
  why: 'Running above the corner is normal, but what is left of the torque falls quickly; motion/torque-short says whether it suffices.',
  formula: 'ω_c = V/√(Kt² + (p·L·Ipk)²), V = supply − Ipk·(R + R_bridge); v_c = ω_c·r',
  source:
    'stepping-motor textbooks (two-phase sinusoidal model); a half more than the corner: common practice',
  severity: ['info', 'hint'],
  bad: [
    example(
      '12 V',
      '\n                                  ^^^ drivers/corner-speed: full torque up to about 17',
    ),
  ],
  good: [example('24 V')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

/** Share of the corner from which it is worth a note. Common practice. */
const NOTE = 1.5;

function checkAxis(context: RuleContext, axis: Axis): void {
  const reading = axis.reading('maxSpeed');
  const speed = axis.number('maxSpeed');
  if (!reading || !speed) return;
  const drive = axisDrive(context.machine, axis);
  if (!drive) return;
  if (isMissing(drive)) {
    asker(context, reading, 'say up to which speed the motor has its full torque')(drive.missing);
    return;
  }
  const cornerAt = (args: readonly number[], supply?: number): number => {
    const point = drive.at(args);
    const voltage = supply === undefined ? point.drive : { ...point.drive, supply };
    return fullTorqueUpTo({ ...point, drive: voltage });
  };
  const corner = over(drive.values, (...args) => cornerAt(args));
  const share = over([...drive.values, speed.value], (...args) => (args.at(-1) ?? 0) / cornerAt(args));
  const facts = [...drive.facts, speed];
  const nominal = drive.values.map(({ nom }) => nom);
  const volts = formatQuantity(context.machine.supplyVoltage?.value.nom ?? 0, 'voltage');
  const upTo = `On ${volts} ${drive.rotors > 1 ? 'these motors have' : 'this motor has'} full torque up to about ${formatInterval(corner, 'speed')}`;
  const causes = causesOf(context, reading.place, facts);
  const extent = exceeds(share.lo, NOTE) ? 'all' : exceeds(share.hi, NOTE) ? 'some' : 'none';
  const verdict = judge(extent, 'info', facts);
  if (!verdict) {
    context.agree({ place: reading.place, message: upTo, causes });
    return;
  }
  const { motor, drive: fed, radius } = drive.at(nominal);
  const full = availableTorque(motor, fed, 0).lower;
  const left = availableTorque(motor, fed, speed.value.nom / radius);
  const [least, most] = [left.lower / full, left.upper / full].map((part) => formatNumber(100 * part, 2));
  const remains =
    full > 0 ? `; at ${formatInterval(speed.value, 'speed')} it is ${least} to ${most} % of that` : '';
  const supply = context.machine.supplyVoltage?.value.nom ?? 0;
  const doubled = formatQuantity(cornerAt(nominal, 2 * supply), 'speed');
  const lower = roundedDown(NOTE * corner.lo, 2);
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `${upTo}${remains}. On ${formatQuantity(2 * supply, 'voltage')} the corner would be at ${doubled}.${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: [
      ...(lower > 0
        ? setSetting(
            context,
            reading,
            { si: lower, digits: 4 },
            { title: `Lower ${axis.title}'s highest speed to ${formatQuantity(lower, 'speed')}` },
          )
        : []),
      inWords('A motor of lower inductance, or a higher supply if board, driver and all else on it allow'),
    ],
  });
}
