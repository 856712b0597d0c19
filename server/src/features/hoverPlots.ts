import type { Place } from '../model/place';
import type { Missing } from '../rules/rule';
import { section, type View } from './hoverWords';
import { judgementOf } from './judgement';
import { literal } from './markdown';
import { imageOf, isPlotted, type Plotted, plotOf } from './plots';
import { settingAt } from './usedBy';

/** A plot with what it tells in words; the picture only where the client shows it. */
export function plotParts({ tools }: View, { plot }: Plotted): (string | undefined)[] {
  if (!plot) return [];
  return [tools.plots ? imageOf(plot) : undefined, section(plot.title, plot.facts.map(literal))];
}

export const wantedBy = ({ wanted }: Plotted, place: Place): Missing[] =>
  wanted ? [{ ...wanted, place }] : [];

/** The plot of the first setting that a rule judged with a fact, what contradicts before what agrees. */
export function plotOfFact(view: View, place: Place): (string | undefined)[] {
  const { findings, agreements, resting } = judgementOf(view.analysis, [place]);
  for (const told of [...findings, ...resting.findings, ...agreements, ...resting.agreements]) {
    const reading = isPlotted(told.rule) ? settingAt(view.analysis, told.place) : undefined;
    const plotted = reading ? plotOf(view.analysis.machine, reading) : {};
    if (plotted.plot) return plotParts(view, plotted);
  }
  return [];
}
