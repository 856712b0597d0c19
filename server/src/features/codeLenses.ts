import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Finding } from '../rules/rule';
import { formatNumber } from '../units';
import { figureOf } from './figures';
import { partsOf } from './outline';

export interface Lens {
  readonly place: Place;
  /** "Axis X: 80 steps/mm, 12 kHz at full speed, no findings" */
  readonly title: string;
}

/** A line over the first setting of each part in a settings header: what it comes to, and how many findings it has. */
export function codeLenses(analysis: Analysis, uri: string): readonly Lens[] {
  const here = analysis.findings.filter(({ place, severity }) => place.uri === uri && severity !== 'hint');
  return partsOf(analysis, uri).flatMap(({ title, items }): Lens[] => {
    const [first] = items;
    if (!first) return [];
    const facts = [...summary(analysis, title), findingsText(here, items)];
    return [{ place: first.namePlace, title: `${title}: ${facts.join(', ')}` }];
  });
}

/** The figures that say most about an axis; of other parts, the findings alone. */
function summary(analysis: Analysis, title: string): string[] {
  const axis = analysis.machine.axes.find((one) => title === `Axis ${one.title}`);
  if (!axis) return [];
  const steps = axis.reading('stepsPerMm');
  const speed = axis.reading('maxSpeed');
  const perMm = steps?.value.kind === 'number' ? [`${formatNumber(steps.value.inUnit, 5)} steps/mm`] : [];
  const rate = speed && figureOf(analysis, speed)?.split(',')[0];
  return [...perMm, ...(rate ? [`${rate} at full speed`] : [])];
}

function findingsText(findings: readonly Finding[], items: readonly { readonly place: Place }[]): string {
  const count = findings.filter(({ place }) =>
    items.some((item) => item.place.start <= place.start && place.end <= item.place.end),
  ).length;
  if (count === 0) return 'no findings';
  return count === 1 ? '1 finding' : `${count} findings`;
}
