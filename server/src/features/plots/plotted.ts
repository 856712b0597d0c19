import type { Machine } from '../../machine/machine';
import type { Asking } from '../../rules/rule';
import type { Reading } from '../../settings/reading';
import type { Plot } from './plot';

/** What is to be seen of a setting, and the fact that would tell more. */
export interface Plotted {
  readonly plot?: Plot;
  readonly wanted?: Wanted;
}

/** The one fact that is missing, as a request, with the rule that needs it too. */
export interface Wanted {
  readonly question: string;
  readonly rule: string;
}

/** Makes the plot of one setting, from the physics that the rules use. */
export type Plotter = (machine: Machine, reading: Reading, asking: Asking) => Plot | undefined;

/** Runs a plotter and keeps the first question it asks. */
export function plotted(machine: Machine, reading: Reading, rule: string, make: Plotter): Plotted {
  let question: string | undefined;
  const plot = make(machine, reading, {
    machine,
    need(fact, _, asked) {
      if (!fact) question ??= asked;
      return fact;
    },
  });
  return { plot, wanted: question === undefined ? undefined : { question, rule } };
}
