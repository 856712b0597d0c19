import { STANDARD_RATES } from '../../rules/baudRates';
import { percent } from '../../rules/kit';
import {
  isLinkFacts,
  type LinkFacts,
  type LinkRate,
  linkFacts,
  linkRate,
  sameRate,
} from '../../rules/link/linkRate';
import { formatNumber, formatQuantity } from '../../units';
import type { Mark, Plot } from './plot';
import type { Plotter } from './plotted';

/** How far the board is off at the set rate and at the rates beside it, against what a receiver bears. */
export const baudErrors: Plotter = (machine, reading, asking) => {
  const link = machine.links.find(({ id }) => reading.concept.id.startsWith(`${id}.`));
  const baud = link?.number('baud')?.value.nom;
  if (!link || baud === undefined || !(baud > 0)) return undefined;
  const facts = linkFacts(asking, link);
  return facts && isLinkFacts(facts) ? plotOf(facts, baud) : undefined;
};

/** Standard rates on each side of the set one. */
const BESIDE = 3;

function plotOf(facts: LinkFacts, baud: number): Plot | undefined {
  const rates = ratesBeside(baud);
  const made = rates.map((rate) => ({ rate, result: linkRate(facts, rate) }));
  const own = made.find(({ rate }) => rate === baud)?.result;
  const limits = (own ?? made.find(({ result }) => result)?.result)?.limits;
  if (!limits) return undefined;
  const [total, twoThirds] = [100 * limits.total, 100 * limits.twoThirds];
  const top = 1.8 * total;
  const clipped = (value: number): number => Math.min(Math.max(value, -top), top);
  const marks: Mark[] = [
    {
      kind: 'zone',
      ink: 'limit',
      hatched: true,
      y: [total, top],
      name: `over ${percent(limits.total, 2)}: not received`,
    },
    { kind: 'zone', ink: 'limit', hatched: true, y: [-top, -total] },
    { kind: 'line', axis: 'y', ink: 'quiet', at: twoThirds, dashed: true, name: `two thirds of it` },
    { kind: 'line', axis: 'y', ink: 'quiet', at: -twoThirds, dashed: true },
    { kind: 'line', axis: 'y', ink: 'quiet', at: 0 },
    ...made.map(({ rate, result }, at): Mark => {
      const isSet = rate === baud;
      const ink = isSet ? 'set' : 'real';
      const name = isSet ? `set: ${formatQuantity(rate, 'dataRate')}` : undefined;
      if (!result) return { kind: 'bar', ink, name, at, from: 0, to: top, hatched: true, label: 'cannot' };
      const error = 100 * result.error;
      return { kind: 'bar', ink, name, at, from: 0, to: clipped(error), label: errorLabel(result) };
    }),
  ];
  const clock = formatQuantity(facts.clock.value.nom, 'frequency');
  const better = made.flatMap(({ rate, result }) =>
    rate !== baud && result && isBetter(result, own)
      ? [`${formatQuantity(rate, 'dataRate')} (${sized(result)})`]
      : [],
  );
  return {
    title: `Baud rates from ${clock}: how far off`,
    x: {
      label: 'rate, Bd',
      from: -0.5,
      to: rates.length - 0.5,
      ticks: rates.map((rate, at) => ({ at, text: formatNumber(rate, 6) })),
    },
    y: { label: 'error, %', from: -top, to: top },
    marks,
    facts: [
      own
        ? `Set: ${formatQuantity(baud, 'dataRate')}, really ${formatQuantity(own.one.actual.nom, 'dataRate')}, ${sized(own)} off; with both ends' clock tolerances ${percent(own.size.nom, 2)}. A receiver bears ${percent(limits.total, 2)}.`
        : `Set: ${formatQuantity(baud, 'dataRate')}, which cannot be made from ${clock}.`,
      better.length > 0
        ? `Nearby rates with less error: ${better.join(', ')}.`
        : 'No rate nearby has less error.',
    ],
  };
}

/** The set rate and its neighbours among the standard ones, from slow to fast. */
export function ratesBeside(baud: number): number[] {
  const others = STANDARD_RATES.filter((rate) => !sameRate(rate, baud));
  const slower = others.filter((rate) => rate < baud).slice(-BESIDE);
  const faster = others.filter((rate) => rate > baud).slice(0, BESIDE);
  return [...slower, baud, ...faster];
}

/** Less off than the set rate, and within one end's share of what a receiver bears. */
const isBetter = ({ error, limits }: LinkRate, own: LinkRate | undefined): boolean =>
  Math.abs(error) <= limits.share && Math.abs(error) < Math.abs(own?.error ?? 1) - 1e-6;

const sized = ({ error }: LinkRate): string => percent(Math.abs(error), 2);

const errorLabel = ({ error }: LinkRate): string => {
  const size = formatNumber(Number((100 * Math.abs(error)).toPrecision(2)), 2);
  const tiny = Math.abs(error) < 5e-5;
  return tiny ? '0' : `${error > 0 ? '+' : '−'}${size}`;
};
