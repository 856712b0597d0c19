import type { Analysis } from '../../project/analysis';
import { type Cancellation, Cancelled } from '../../project/host';
import { type Proposal, proposeSteps } from '../../settings/nameRanking';
import { helpersOf, unknownNames } from './unknownNames';

/** A meaning for each name of headers that no map knows, worked out in steps with a pause behind each. */
export async function proposeNames(
  analysis: Analysis,
  uris: readonly string[],
  pause: () => Promise<void> = async () => {},
  token?: Cancellation,
): Promise<Proposal> {
  const { ranking, wanted } = unknownNames(analysis, uris);
  const steps = proposeSteps(ranking, wanted, { helpers: helpersOf(analysis), taken: takenBy(analysis) });
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
    await pause();
    if (token?.isCancellationRequested) throw new Cancelled();
  }
}

/** Concepts that a live line sets already, with the name that does. */
function takenBy({ machine: { settings } }: Analysis): ReadonlyMap<string, string> {
  return new Map(settings.liveIds.map((id) => [id, settings.readingsOf(id)[0]?.entry.name ?? '']));
}
