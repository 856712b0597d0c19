import { type AxisDrive, axisDrive, isMissing } from '../../machine/axisDrive';
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
  torqueAtSpeed,
  torqueOf,
  torquesAt,
} from '../../rules/axisTorque';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { type Mark, type Plot, steps } from './plot';
import type { Plotter } from './plotted';

/**
 * Torque over speed: what the motors have, what the acceleration needs, the set maximum and what the job asks. Without what is moved,
 * what they have alone.
 */
export const torqueSpeed: Plotter = (machine, reading, asking) => {
  const axis = machine.axes.find(({ id }) => reading.concept.id.startsWith(`${id}.`));
  if (!axis) return undefined;
  const ask = asker(asking, reading, 'say whether the motor is strong enough');
  const [speed, acceleration] = [axis.number('maxSpeed'), axis.number('maxAcceleration')];
  if (!speed || !acceleration)
    ask(`Add ${axis.id}.${speed ? 'maxAcceleration' : 'maxSpeed'} to the settings`);
  const drive = axisDrive(machine, axis);
  if (!drive) return undefined;
  if (isMissing(drive)) {
    ask(drive.missing);
    return undefined;
  }
  // What a feed axis pushes is not asked for, as its rule does not.
  const isJudged = speed && acceleration && (!axis.feed || axis.sheet?.movedMass);
  const torque = isJudged ? torqueOf(machine, axis, ask) : undefined;
  return plotOf(axis, drive, speed?.value.nom, torque && tightest(machine, axis, torque));
};

/** What is asked of an axis at its tightest, N·m. */
interface Worked {
  readonly duty: Duty;
  readonly torques: Torques;
  /** For nominal values. */
  readonly needs: number;
}

function tightest(machine: Machine, axis: Axis, torque: AxisTorque): Worked | undefined {
  const duties = dutiesOf(machine, axis).map((duty) => ({
    duty,
    torques: torquesAt(torque, duty.speed, duty.acceleration),
  }));
  const [worst] = duties.sort((a, b) => a.torques.reserve.nom - b.torques.reserve.nom);
  const acceleration = point(worst?.duty.acceleration.nom ?? 0);
  return worst && { ...worst, needs: torquesAt(nominally(torque), point(0), acceleration).needed.nom };
}

function plotOf(
  axis: Axis,
  drive: AxisDrive,
  most: number | undefined,
  worked: Worked | undefined,
): Plot | undefined {
  const nominal = drive.at(drive.values.map(({ nom }) => nom));
  const corner = fullTorqueUpTo(nominal);
  const asksFor = Math.max(most ?? 0, worked?.duty.speed.nom ?? 0);
  // Far enough to show where the torque falls, unless that is far beyond all that is asked for.
  const fastest = asksFor > 0 ? Math.max(1.5 * asksFor, Math.min(2 * corner, 5 * asksFor)) : 2 * corner;
  const places = steps(0, fastest).map((speed) => ({ speed, ...torqueAtSpeed(nominal, speed) }));
  const speedOf = (value: number): string => formatQuantity(value, 'speed');
  const torqueOfText = (value: number): string => formatQuantity(value, 'torque');
  const marks: Mark[] = [
    {
      kind: 'band',
      ink: 'real',
      name: 'has (driven by a sine to a square wave)',
      points: places.map(({ speed, lower, upper }) => [1000 * speed, 1000 * lower, 1000 * upper] as const),
    },
    ...(worked ? needMarks(worked, fastest) : []),
    ...(most === undefined
      ? []
      : [
          {
            kind: 'line',
            axis: 'x',
            ink: 'set',
            at: 1000 * most,
            dashed: true,
            name: `set maximum ${speedOf(most)}`,
          } as const,
        ]),
    ...(worked ? dutyMarks(worked) : []),
  ];
  const atRest = torqueAtSpeed(nominal, 0).lower;
  const left = most === undefined ? undefined : torqueAtSpeed(nominal, most).lower;
  return {
    title: `${axis.title}: torque over speed`,
    x: { label: 'speed, mm/s', from: 0, to: 1000 * fastest },
    y: {
      label: 'torque, mN·m',
      from: 0,
      to: 1.2 * 1000 * Math.max(...places.map(({ upper }) => upper), worked?.needs ?? 0),
    },
    marks,
    facts: [
      worked ? needText(axis, worked) : '',
      `It has full torque up to about ${speedOf(corner)}.`,
      `At rest it has ${torqueOfText(atRest)}${left === undefined || most === undefined ? '' : `; at the set maximum of ${speedOf(most)} ${torqueOfText(left)} are left`}.`,
    ].filter(Boolean),
  };
}

const needMarks = ({ duty, needs }: Worked, fastest: number): Mark[] => [
  {
    kind: 'curve',
    ink: 'need',
    dashed: true,
    name: `needs at ${formatQuantity(duty.acceleration.nom, 'acceleration')}`,
    points: [
      [0, 1000 * needs],
      [1000 * fastest, 1000 * needs],
    ],
  },
];

function dutyMarks({ duty, torques }: Worked): Mark[] {
  const reserve = formatNumber(torques.reserve.nom, 3);
  const speed = 1000 * duty.speed.nom;
  return [
    { kind: 'dot', ink: 'need', shape: 'circle', at: [speed, 1000 * torques.needed.nom] },
    {
      kind: 'dot',
      ink: 'real',
      shape: 'diamond',
      at: [speed, 1000 * torques.lower.nom],
      name: `${duty.stated ? 'job' : 'maximum'} ${formatQuantity(duty.speed.nom, 'speed')}: reserve ${reserve}`,
      label: `×${reserve}`,
    },
  ];
}

function needText({ title }: Axis, { duty, torques: { lower, upper, needed, reserve } }: Worked): string {
  const has = formatInterval({ lo: lower.nom, nom: lower.nom, hi: upper.nom }, 'torque');
  const asked = formatQuantity(duty.acceleration.nom, 'acceleration');
  return `At ${formatQuantity(duty.speed.nom, 'speed')} ${title} has ${has} and needs ${formatQuantity(needed.nom, 'torque')} for ${asked}: reserve ${formatNumber(reserve.nom, 3)} (1.5 is thin, 2 is good).`;
}
