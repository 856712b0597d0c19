import { curveOfSettings } from '../machine/curves';
import { isStepBudget, stepBudget } from '../machine/stepBudget';
import { timeToSpeed } from '../physics/acceleration';
import { peakOf } from '../physics/stepper';
import type { Analysis } from '../project/analysis';
import { percent } from '../rules/kit';
import type { Reading } from '../settings/reading';
import { formatQuantity } from '../units';
import { ratesOf } from './completion/baud';

/**
 * What a setting comes to on this machine, in a few words: the step rate of a speed, where a pin leads, how well a baud rate is made.
 * Nothing when a fact is missing; the hover says which.
 */
export function figureOf(analysis: Analysis, reading: Reading): string | undefined {
  const found = FIGURES.find(([pattern]) => pattern.test(reading.concept.id));
  return found?.[1](analysis, reading);
}

type Figure = (analysis: Analysis, reading: Reading) => string | undefined;

const axisOf = ({ machine }: Analysis, { concept }: Reading) =>
  machine.axes.find(({ id }) => concept.id.startsWith(`${id}.`));

const numberOf = ({ value }: Reading): number | undefined =>
  value.kind === 'number' && Number.isFinite(value.si) && value.si > 0 ? value.si : undefined;

const stepRateOf: Figure = (analysis, reading) => {
  const axis = axisOf(analysis, reading);
  const budget = axis && stepBudget(analysis.machine, axis);
  if (!budget || !isStepBudget(budget)) return undefined;
  const rate = formatQuantity(budget.value.nom, 'frequency');
  const tightest = Math.max(...budget.demands.map(({ share }) => share.nom));
  return Number.isFinite(tightest) ? `${rate}, ${percent(tightest, 2)} of the board's steps` : rate;
};

const stepOf: Figure = (_, reading) => {
  const steps = numberOf(reading);
  return steps === undefined ? undefined : `a step is ${formatQuantity(1 / steps, 'length')}`;
};

const rampOf: Figure = (analysis, reading) => {
  const speed = axisOf(analysis, reading)?.number('maxSpeed')?.value.nom;
  const acceleration = numberOf(reading);
  if (speed === undefined || acceleration === undefined) return undefined;
  return `full speed in ${formatQuantity(timeToSpeed(speed, acceleration), 'time')}`;
};

const peakCurrent: Figure = (_, reading) => {
  const rms = numberOf(reading);
  return rms === undefined ? undefined : `${formatQuantity(peakOf(rms), 'current')} peak`;
};

const baudOf: Figure = (analysis, reading) => {
  const rate = numberOf(reading);
  const board = analysis.machine.board;
  if (rate === undefined || !board?.chip?.uart) return undefined;
  return ratesOf(analysis, reading.concept.id, [rate])[0]?.words;
};

const periodOf: Figure = (_, reading) => {
  const frequency = numberOf(reading);
  return frequency === undefined ? undefined : `every ${formatQuantity(1 / frequency, 'time')}`;
};

const pinOf: Figure = ({ machine }, { concept }) => {
  const use = machine.pinUses.find(({ reading }) => reading.concept.id === concept.id);
  const names = [use?.output, use?.driver && { name: `driver ${use.driver.name}` }, use?.connector]
    .filter((part) => part !== undefined)
    .map(({ name }) => name);
  return names[0];
};

const curveOf: Figure = (_, { value }) => {
  if (value.kind !== 'text') return undefined;
  const curve = curveOfSettings({ value: value.text, quality: 'assumed', label: value.text })?.value;
  const ohms = curve?.resistance?.resistance(ROOM);
  if (ohms === undefined || !Number.isFinite(ohms)) return undefined;
  return `${formatQuantity(ohms, 'resistance')} at ${ROOM} °C`;
};
const ROOM = 25;

const FIGURES: readonly (readonly [RegExp, Figure])[] = [
  [/^axis\.\w+\.maxSpeed$/, stepRateOf],
  [/^axis\.\w+\.stepsPerMm$/, stepOf],
  [/^axis\.\w+\.maxAcceleration$/, rampOf],
  [/^axis\.\w+\.motorCurrent$/, peakCurrent],
  [/^link\.\w+\.baud$/, baudOf],
  [/\.pwmFrequency$/, periodOf],
  [/\.pin$|Pin[AB]?$/, pinOf],
  [/\.sensor\.curve$/, curveOf],
];
