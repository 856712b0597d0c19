// How long an analysis works at a stretch: a newer edit is heard, and drops what is outdated, in the gaps between two stretches only.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { analyseProject } from '../../server/src/project';
import { createMemory } from '../../server/src/project/memory';
import { writeFile } from './files';
import { machineSettings, marked, sampleFolder } from './settings';
import { median } from './statistics';

/** An edit and what takes it back. */
interface Edit {
  readonly title: string;
  /** The text after it, from the text before; the second call takes it back. */
  apply(text: string, back: boolean): string;
}

const swap =
  (one: string, other: string) =>
  (text: string, back: boolean): string =>
    back ? text.replace(other, one) : text.replace(one, other);

const value = `#define ${marked.name} ${marked.firstDigit}`;
const edits: readonly Edit[] = [
  { title: 'a digit', apply: swap(`${value}${marked.rest}`, `#define ${marked.name} 1${marked.rest}`) },
  { title: 'a blank line', apply: swap(value, `\n${value}`) },
  { title: 'a name', apply: swap('#define STATION_1_Y_MM ', '#define STATION_1_Z_MM ') },
  { title: 'a condition', apply: swap('#if STATION_1_IN_USE', '#if !STATION_1_IN_USE') },
  {
    title: 'a line that comes or goes',
    apply: swap('#define STATION_1_X_MM ', '#define SPARE_MM 1\n#define STATION_1_X_MM '),
  },
];

export interface LongestStep {
  readonly title: string;
  /** ms of the longest stretch of a run, in the best run and in the middle: other work of the machine lengthens some of each run. */
  readonly best: number;
  readonly p50: number;
  /** ms of the whole analysis, median. */
  readonly whole: number;
}

/**
 * Analyses the settings of the benchmark in this process, and times each stretch of work between two macrotasks.
 * @param root of the repository
 */
export async function longestSteps(
  settings: number,
  root: string,
  runs: number,
): Promise<readonly LongestStep[]> {
  const { text: first } = writeFile('header', machineSettings(settings, root));
  const others = new Map(
    ['fettle.json', 'fjell32.board.json', 'wren.machine.json'].map((name) => [
      `file:///bench/${name}`,
      readFileSync(join(root, sampleFolder, name), 'utf8'),
    ]),
  );
  let text = first;
  const host = {
    read: async (uri: string) => (uri.endsWith('/settings.h') ? text : others.get(uri)),
  };
  let memory = createMemory();
  const analyse = () =>
    analyseProject('file:///bench/fettle.json', host, { isCancellationRequested: false }, { memory });
  const found: LongestStep[] = [];
  const measure = async (title: string, prepare: () => void): Promise<void> => {
    const longest: number[] = [];
    const wholes: number[] = [];
    for (let run = 0; run < runs; run++) {
      prepare();
      const stretches = await stretchesOf(analyse);
      longest.push(Math.max(...stretches));
      wholes.push(stretches.reduce((sum, ms) => sum + ms, 0));
    }
    found.push({ title, best: Math.min(...longest), p50: median(longest), whole: median(wholes) });
  };
  await measure('open', () => {
    memory = createMemory();
  });
  for (const { title, apply } of edits) {
    let back = false;
    await measure(title, () => {
      text = apply(text, back);
      back = !back;
    });
    text = first;
    await analyse();
  }
  return found;
}

/** ms of each stretch of work. */
async function stretchesOf(work: () => Promise<unknown>): Promise<readonly number[]> {
  const stretches: number[] = [];
  const original = globalThis.setImmediate;
  let began = performance.now();
  globalThis.setImmediate = ((resume: () => void) => {
    stretches.push(performance.now() - began);
    return original(() => {
      began = performance.now();
      resume();
    });
  }) as typeof setImmediate;
  try {
    await work();
    stretches.push(performance.now() - began);
  } finally {
    globalThis.setImmediate = original;
  }
  return stretches;
}
