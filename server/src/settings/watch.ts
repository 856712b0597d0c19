import { withLazy } from '../model/lazy';
import type { Steps } from '../model/steps';
import { type Key, LIVE_IDS, READ_IDS, STRUCTURE, WHOLE_TEXT } from './look';
import type { Settings } from './reading';

/** Notes what a computation looks at, so that its result can be kept for as long as none of it changes. */
export interface Watch {
  note(key: Key): void;
  noteAll(keys: Iterable<Key>): void;
  /** Runs `work` and gives with its result all that it looked at. */
  during<T>(work: () => T): { readonly result: T; readonly keys: ReadonlySet<Key> };
  /** The same for work in steps; other work may look at things between them. */
  duringSteps<T>(work: Steps<T>): Steps<{ readonly result: T; readonly keys: ReadonlySet<Key> }>;
  /** Computes when first asked; whoever asks has looked at all that went into it. */
  lazy<T>(make: () => T): () => T;
}

export function createWatch(): Watch {
  const open: Set<Key>[] = [];
  const note = (key: Key): void => {
    open[open.length - 1]?.add(key);
  };
  const noteAll = (keys: Iterable<Key>): void => {
    const into = open[open.length - 1];
    if (into) for (const key of keys) into.add(key);
  };
  const during: Watch['during'] = (work) => {
    const keys = new Set<Key>();
    open.push(keys);
    try {
      return { result: work(), keys };
    } finally {
      open.pop();
      noteAll(keys);
    }
  };
  return {
    note,
    noteAll,
    during,
    duringSteps: (work) => watchedSteps(open, noteAll, work),
    lazy(make) {
      let made: ReturnType<typeof during<ReturnType<typeof make>>> | undefined;
      return () => {
        if (!made) made = during(make);
        else noteAll(made.keys);
        return made.result;
      };
    },
  };
}

/** @param open what is watched now, the innermost last */
function* watchedSteps<T>(
  open: Set<Key>[],
  noteAll: Watch['noteAll'],
  work: Steps<T>,
): Steps<{ readonly result: T; readonly keys: ReadonlySet<Key> }> {
  const keys = new Set<Key>();
  for (;;) {
    open.push(keys);
    let step: IteratorResult<undefined, T>;
    try {
      step = work.next();
    } finally {
      open.pop();
    }
    if (step.done) {
      noteAll(keys);
      return { result: step.value, keys };
    }
    yield;
  }
}

/** The same settings, with every look at them noted. What hangs on the name maps alone is not: another map changes everything. */
export function watched(settings: Settings, { note }: Watch): Settings {
  const noting =
    <T>(get: (id: string) => T) =>
    (id: string): T => {
      note(id);
      return get(id);
    };
  const { unmappedNames: _, liveIds: __, ...plain } = settings;
  const others = {
    ...plain,
    allFor(look) {
      note(look);
      return settings.all;
    },
    ofEntry(index) {
      note(STRUCTURE);
      note(READ_IDS);
      const found = settings.ofEntry(index);
      for (const { concept } of found) note(concept.id);
      return found;
    },
    unmapped(index) {
      note(STRUCTURE);
      return settings.unmapped(index);
    },
    reading: noting(settings.reading),
    readingsOf: noting(settings.readingsOf),
    number: noting(settings.number),
    switch: noting(settings.switch),
    pin: noting(settings.pin),
    choice: noting(settings.choice),
    text: noting(settings.text),
    undecided: noting(settings.undecided),
  } satisfies Partial<Settings>;
  return watchedSettings(others, {
    all: () => {
      note(WHOLE_TEXT);
      return settings.all;
    },
    renamed: () => {
      note(WHOLE_TEXT);
      return settings.renamed;
    },
    repeated: () => {
      note(STRUCTURE);
      note(READ_IDS);
      for (const { concept } of settings.repeated) note(concept.id);
      return settings.repeated;
    },
    unmappedNames: () => {
      note(STRUCTURE);
      return settings.unmappedNames;
    },
    liveIds: () => {
      note(LIVE_IDS);
      return settings.liveIds;
    },
  });
}

const watchedSettings = withLazy<Settings>()('all', 'renamed', 'repeated', 'unmappedNames', 'liveIds');
