import type { Machine } from '../../machine/machine';
import type { Asking } from '../../rules/rule';
import type { Reading } from '../../settings/reading';
import type { Plot } from './plot';

/** A plot, or the one fact that is missing for it with the rule that asks for it too; nothing where no plot applies. */
export type Plotted = Plot | Wanted | undefined;

export interface Wanted {
  readonly question: string;
  readonly rule: string;
}

/** Makes the plot of one setting, from the physics that the rules use. */
export type Plotter = (machine: Machine, reading: Reading, asking: Asking) => Plot | undefined;

export const isWanted = (plotted: Plot | Wanted): plotted is Wanted => 'question' in plotted;

/** Runs a plotter and keeps the first question it asks. */
export function plotted(machine: Machine, reading: Reading, rule: string, make: Plotter): Plotted {
  let first: string | undefined;
  const plot = make(machine, reading, {
    machine,
    need(fact, _, question) {
      if (!fact) first ??= question;
      return fact;
    },
  });
  return plot ?? (first === undefined ? undefined : { question: first, rule });
}
