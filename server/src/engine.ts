/**
 * How V8 is to work for a program that computes once, and for one that lies beside an editor. `v8.setFlagsFromString` is Node's own way to set
 * flags while a program runs. To V8, byte code made under other flags is that of another V8: it is made and read under those of the start.
 */
import { setFlagsFromString } from 'node:v8';

export interface Engine {
  /** Runs `work` under the flags of the start. */
  asAtStart<T>(work: () => T): T;
}

/**
 * V8 11 (Node.js 20) optimises code so soon that half of the time of a check went into that, and much of it was thrown away; and it starts
 * with a young heap of 1 MB. Measured with 5,000 settings on two cores, `check`: 1.36 s by itself, 1.17 with the young heap, 0.87 with both;
 * ten times the limit and no optimising at all are no faster, and slower with 50,000. Later V8s have a compiler between the two, and none of
 * this helps (24: 0.81 and 0.86); they do not know the first flag either, and would complain.
 */
const forOne = process.versions.v8.startsWith('11.')
  ? ['--interrupt-budget=500000', '--semi-space-growth-factor=16']
  : [];

/**
 * Percent by which the old heap may grow. By itself V8 lets it grow to four times what is in use before it looks for what nobody holds any
 * more: quick for programs that compute and end, too much for one that goes on. Less than this saves nothing more.
 */
const growth = 30;
/** ms in which a program starts and most projects open: until then next to nothing can be given back, and looking for it costs time. */
const opened = 2000;

const set = (flags: readonly string[]): void => flags.forEach(setFlagsFromString);

/** For programs that end by themselves. */
export function forOneRun(): Engine {
  set(forOne);
  return { asAtStart: (work) => work() };
}

/** For programs that go on until somebody ends them: what they run, they run often, and V8 is left to optimise it. */
export function forLong(): Engine {
  const start = ['--heap-growing-percent=0'];
  const later = [`--heap-growing-percent=${growth}`];
  let isOpened = false;
  setTimeout(() => {
    isOpened = true;
    set(later);
  }, opened).unref();
  return {
    asAtStart(work) {
      if (!isOpened) return work();
      set(start);
      try {
        return work();
      } finally {
        set(later);
      }
    },
  };
}
