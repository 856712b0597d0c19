import type { Settings } from './reading';

/**
 * Notes which settings a computation looks at, so that its result can be kept for as long as none of them changes. Keys are ids of
 * concepts, or one of the names below.
 */
export interface Watch {
  note(key: string): void;
  /** Runs `work` and gives with its result all that it looked at. */
  during<T>(work: () => T): { readonly result: T; readonly keys: ReadonlySet<string> };
  /** Computes when first asked; whoever asks has looked at all that went into it. */
  lazy<T>(make: () => T): () => T;
}

/** Which concepts have a live reading. */
export const LIVE_IDS = 'live ids';
/** The settings' text as a whole: every edit changes it. */
export const WHOLE_TEXT = 'whole text';

export function createWatch(): Watch {
  const open: Set<string>[] = [];
  const note = (key: string): void => {
    open[open.length - 1]?.add(key);
  };
  const during: Watch['during'] = (work) => {
    const keys = new Set<string>();
    open.push(keys);
    try {
      return { result: work(), keys };
    } finally {
      open.pop();
      for (const key of keys) note(key);
    }
  };
  return {
    note,
    during,
    lazy(make) {
      let made: ReturnType<typeof during<ReturnType<typeof make>>> | undefined;
      return () => {
        if (!made) made = during(make);
        else for (const key of made.keys) note(key);
        return made.result;
      };
    },
  };
}

/** The same settings, with every look at them noted. What hangs on the name maps alone is not: another map changes everything. */
export function watched(settings: Settings, { note }: Watch): Settings {
  const noting =
    <T>(get: (id: string) => T) =>
    (id: string): T => {
      note(id);
      return get(id);
    };
  return {
    ...settings,
    get all() {
      note(WHOLE_TEXT);
      return settings.all;
    },
    get renamed() {
      note(WHOLE_TEXT);
      return settings.renamed;
    },
    get unmappedNames() {
      note(WHOLE_TEXT);
      return settings.unmappedNames;
    },
    unmapped(index) {
      note(WHOLE_TEXT);
      return settings.unmapped(index);
    },
    get liveIds() {
      note(LIVE_IDS);
      return settings.liveIds;
    },
    reading: noting(settings.reading),
    readingsOf: noting(settings.readingsOf),
    number: noting(settings.number),
    switch: noting(settings.switch),
    pin: noting(settings.pin),
    choice: noting(settings.choice),
    text: noting(settings.text),
    undecided: noting(settings.undecided),
  };
}
