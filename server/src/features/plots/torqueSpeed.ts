import type { Axis, Machine } from '../../machine/machine';
import { point } from '../../model/interval';
import {
  type AxisTorque,
  asker,
  type Duty,
  dutiesOf,
  fullTorqueUpTo,
  nominally,
  type Torques,
  torqueOf,
  torquesAt,
} from '../../rules/axisTorque';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { type Mark, type Plot, steps } from './plot';
import type { Plotter } from './plotted';

/** Torque over speed: what the motors have, what the acceleration needs, the set maximum and what the job asks. */
export const torqueSpeed: Plotter = (machine, reading, asking) => {
  const axis = machine.axes.find(({ id }) => reading.concept.id.startsWith(`${id}.`));
  if (!axis) return undefined;
  const ask = asker(asking, reading, 'say whether the motor is strong enough');
  const [speed, acceleration] = [axis.number('maxSpeed'), axis.number('maxAcceleration')];
  if (!speed || !acceleration) {
    ask(`Add ${axis.id}.${speed ? 'maxAcceleration' : 'maxSpeed'} to the settings`);
    return undefined;
  }
  const torque = axis.feed && !axis.sheet?.movedMass ? undefined : torqueOf(machine, axis, ask);
  return torque && plotOf(machine, axis, torque, speed.value.nom);
};

interface Worked {
  readonly duty: Duty;
  readonly torques: Torques;
}

function plotOf(machine: Machine, axis: Axis, torque: AxisTorque, most: number): Plot | undefined {
  const duties = dutiesOf(machine, axis).map(
    (duty): Worked => ({ duty, torques: torquesAt(torque, duty.speed, duty.acceleration) }),
  );
  const tightest = duties.reduce<Worked | undefined>(
    (worst, one) => (worst && worst.torques.reserve.nom <= one.torques.reserve.nom ? worst : one),
    undefined,
  );
  if (!tightest) return undefined;
  const nominal = nominally(torque);
  const asked = point(tightest.duty.acceleration.nom);
  const { values } = torque.drive;
  const corner = fullTorqueUpTo(torque.drive.at(values.map(({ nom }) => nom)));
  const asksFor = Math.max(most, ...duties.map(({ duty }) => duty.speed.nom));
  // Far enough to show where the torque falls, unless that is far beyond all that is asked for.
  const fastest = Math.max(1.5 * asksFor, Math.min(2 * corner, 5 * asksFor));
  const at = steps(0, fastest).map((speed) => ({
    speed: 1000 * speed,
    ...torquesAt(nominal, point(speed), asked),
  }));
  const milli = ({ lower, upper, needed }: Torques) =>
    [lower.nom, upper.nom, needed.nom].map((one) => 1000 * one);
  const { torques, duty } = tightest;
  const [has = 0, , needs = 0] = milli(torques);
  const top = 1.2 * Math.max(...at.flatMap(milli));
  const speedOf = (value: number): string => formatQuantity(value, 'speed');
  const marks: Mark[] = [
    {
      kind: 'band',
      ink: 'real',
      name: 'has (driven by a sine to a square wave)',
      points: at.map(({ speed, lower, upper }) => [speed, 1000 * lower.nom, 1000 * upper.nom] as const),
    },
    {
      kind: 'curve',
      ink: 'need',
      dashed: true,
      name: `needs at ${formatQuantity(asked.nom, 'acceleration')}`,
      points: at.map(({ speed, needed }) => [speed, 1000 * needed.nom] as const),
    },
    {
      kind: 'line',
      axis: 'x',
      ink: 'set',
      at: 1000 * most,
      dashed: true,
      name: `set maximum ${speedOf(most)}`,
    },
    { kind: 'dot', ink: 'need', shape: 'circle', at: [1000 * duty.speed.nom, needs] },
    {
      kind: 'dot',
      ink: 'real',
      shape: 'diamond',
      at: [1000 * duty.speed.nom, has],
      name: `${duty.stated ? 'job' : 'maximum'} ${speedOf(duty.speed.nom)}: reserve ${formatNumber(torques.reserve.nom, 3)}`,
      label: `×${formatNumber(torques.reserve.nom, 3)}`,
    },
  ];
  return {
    title: `${axis.title}: torque over speed`,
    x: { label: 'speed, mm/s', from: 0, to: 1000 * fastest },
    y: { label: 'torque, mN·m', from: 0, to: top },
    marks,
    facts: [
      `At ${speedOf(duty.speed.nom)} ${axis.title} has ${formatInterval({ lo: torques.lower.nom, nom: torques.lower.nom, hi: torques.upper.nom }, 'torque')} and needs ${formatQuantity(torques.needed.nom, 'torque')} for ${formatQuantity(asked.nom, 'acceleration')}: reserve ${formatNumber(torques.reserve.nom, 3)} (1.5 is thin, 2 is good).`,
      `It has full torque up to about ${speedOf(corner)}.`,
      `At rest it has ${formatQuantity(at[0]?.lower.nom ?? 0, 'torque')}; at the set maximum of ${speedOf(most)} ${formatQuantity(torquesAt(nominal, point(most), asked).lower.nom, 'torque')} are left.`,
    ],
  };
}
