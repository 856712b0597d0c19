import type { Analysis } from '../project/analysis';
import type { Reading } from '../settings/reading';
import type { Entry, EntryState } from '../syntax/entry';

/** What an analysis says about one settings header, in the order of its text. */
export interface HeaderFile {
  readonly uri: string;
  readonly text: string;
  /** One for each definition, include guards left out. A file that is read several times shows the liveliest of its readings. */
  readonly entries: readonly Entry[];
  readingsOf(entry: Entry): readonly Reading[];
}

interface Index {
  readonly files: ReadonlyMap<string, HeaderFile>;
}

const indexes = new WeakMap<Analysis, Index>();

/** Undefined for files that are no settings headers of this analysis. */
export function headerFile(analysis: Analysis, uri: string): HeaderFile | undefined {
  let index = indexes.get(analysis);
  if (!index) {
    index = indexOf(analysis);
    indexes.set(analysis, index);
  }
  return index.files.get(uri);
}

function indexOf({ machine, texts }: Analysis): Index {
  const readings = new Map<Entry, Reading[]>();
  for (const reading of machine.settings.all) {
    const others = readings.get(reading.entry);
    if (others) others.push(reading);
    else readings.set(reading.entry, [reading]);
  }
  const byFile = new Map<string, Map<number, Entry>>();
  for (const entry of machine.text.entries) {
    const { uri, start } = entry.namePlace;
    if (entry.includeGuard) continue;
    let own = byFile.get(uri);
    if (!own) {
      own = new Map();
      byFile.set(uri, own);
    }
    const earlier = own.get(start);
    if (!earlier || LIFE[entry.state] > LIFE[earlier.state]) own.set(start, entry);
  }
  const files = new Map<string, HeaderFile>();
  for (const uri of [...machine.text.files, ...(machine.text.consulted ?? [])]) {
    const text = texts.get(uri);
    if (text === undefined) continue;
    const own = [...(byFile.get(uri) ?? [])].sort(([one], [other]) => one - other);
    files.set(uri, {
      uri,
      text,
      entries: own.map(([, entry]) => entry),
      readingsOf: (entry) => readings.get(entry) ?? [],
    });
  }
  return { files };
}

const LIFE: Record<EntryState, number> = {
  active: 5,
  undecided: 4,
  overridden: 3,
  undefined: 2,
  inactive: 1,
  commentedOut: 0,
};
