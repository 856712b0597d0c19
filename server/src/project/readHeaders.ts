import type { Pause } from '../model/steps';
import { createReader, type HeaderReader } from '../syntax/c-header';
import type { SettingsText } from '../syntax/entry';
import type { Snapshot } from './snapshot';

interface HeaderOptions {
  readonly define?: Readonly<Record<string, string>>;
  readonly undefine?: readonly string[];
  readonly undecided?: readonly string[];
  readonly includePaths?: readonly string[];
  readonly ignoreCase?: boolean;
}

/** Includes of includes are found one after the other: more rounds than this only a cycle of missing files could want. */
const MOST_ROUNDS = 400;

/**
 * Reads the settings headers, with a pause after every step. The reader asks for included files as it meets them; those not yet in the snapshot
 * are fetched, and the reading starts anew.
 */
export async function readHeaders(
  entries: readonly string[],
  snapshot: Snapshot,
  options: HeaderOptions,
  pause: Pause,
  reader: HeaderReader = createReader(),
): Promise<SettingsText> {
  for (const entry of entries) await snapshot.read(entry);
  const found = entries.filter((entry) => snapshot.texts.has(entry));
  for (let round = 0; ; round++) {
    const wanted = new Set<string>();
    const steps = reader.readInSteps({
      entries: found,
      read: (uri) => {
        if (!snapshot.asked.has(uri)) wanted.add(uri);
        return snapshot.texts.get(uri);
      },
      define: options.define,
      undefine: options.undefine ? [...options.undefine] : undefined,
      undecided: options.undecided ? [...options.undecided] : undefined,
      includePaths: options.includePaths ? [...options.includePaths] : undefined,
    });
    let step = steps.next();
    for (; !step.done; step = steps.next()) {
      const rest = pause();
      if (rest) await rest;
    }
    const text = step.value;
    if (wanted.size === 0 || round >= MOST_ROUNDS) return text;
    for (const uri of wanted) await snapshot.read(uri);
    await pause();
  }
}
