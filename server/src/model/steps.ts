/**
 * Long work in steps: after each the caller may let others have their turn, or drop the work. Nothing else has changed by then.
 */
export type Steps<T> = Generator<undefined, T>;

/**
 * Called between two steps. Nothing to wait for, most of the time: waiting for nothing a hundred times costs more than the steps.
 * Throws, or rejects, to end the work.
 */
export type Pause = () => Promise<void> | undefined;

/** Does all steps at once. */
export function finishSteps<T>(steps: Steps<T>): T {
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

/** Lines or definitions in one step: well below a millisecond each hundred. */
export const LINES_A_STEP = 100;
