import type { HoverTools, RuleWords } from '../../server/src/features/hover';
import type { Machine } from '../../server/src/machine/machine';
import type { Place } from '../../server/src/model/place';
import type { Analysis } from '../../server/src/project/analysis';
import type { Concept } from '../../server/src/settings/concept';
import type { Reading, ReadingValue } from '../../server/src/settings/reading';
import type { Entry } from '../../server/src/syntax/entry';

export const root = 'file:///demo/';

/** An analysis made by hand: texts, what they are read as, and what rules said. */
export interface Handmade extends Partial<Omit<Analysis, 'texts' | 'machine'>> {
  readonly texts: Readonly<Record<string, string>>;
  readonly readings?: readonly Reading[];
  readonly entries?: readonly Entry[];
}

export function handmade({ texts, readings = [], entries, ...given }: Handmade): Analysis {
  const all = new Map(Object.entries(texts).map(([name, text]) => [root + name, text]));
  const lines = entries ?? [...new Set(readings.map(({ entry }) => entry))];
  for (const [index, entry] of lines.entries()) Object.assign(entry, { index });
  const text = {
    entries: lines,
    problems: [],
    comments: () => [],
    files: [],
    missing: [],
    uses: { has: () => false, places: () => [] },
    entriesAt: () => lines,
  };
  return {
    files: {
      projectFile: `${root}fettle.json`,
      root,
      settings: [`${root}settings.h`],
      board: `${root}demo.board.json`,
      machine: `${root}demo.machine.json`,
      names: [],
    },
    texts: all,
    dependsOn: new Set(all.keys()),
    machine: {
      settings: {
        all: readings,
        concepts: new Map(),
        ofEntry: (index: number) => readings.filter(({ entry }) => entry.index === index),
      },
      text,
      axes: [],
      inputs: [],
      zones: [],
      fans: [],
      links: [],
      pinUses: [],
    } as unknown as Machine,
    findings: [],
    allowed: [],
    agreements: [],
    missing: [],
    looks: new Map(),
    ...given,
  };
}

/** Place of the first `words` in a text. */
export function placeOf(name: string, text: string, words: string): Place {
  const start = text.indexOf(words);
  if (start < 0) throw new Error(`no "${words}" in ${name}`);
  return { uri: root + name, start, end: start + words.length };
}

/** The entry that `#define NAME value` stands for. */
export function entryOf(name: string, text: string, definition: string, given: Partial<Entry> = {}): Entry {
  const place = placeOf(name, text, definition);
  const [, word = '', value = ''] = /#define (\w+) ?(.*)/.exec(definition) ?? [];
  const nameStart = place.start + definition.indexOf(word);
  const valueStart = nameStart + word.length + 1;
  return {
    index: 0,
    uri: place.uri,
    name: word,
    functionLike: false,
    place,
    namePlace: { uri: place.uri, start: nameStart, end: nameStart + word.length },
    valuePlace: value ? { uri: place.uri, start: valueStart, end: valueStart + value.length } : undefined,
    rawText: value,
    state: 'active',
    value: { kind: 'other', text: value },
    undecidedNames: [],
    usedDefinitions: [],
    ...given,
  };
}

export const readingOf = (
  concept: Concept,
  entry: Entry,
  value: ReadingValue,
  given: Partial<Reading> = {},
): Reading => ({
  concept,
  entry,
  value,
  place: entry.valuePlace ?? entry.namePlace,
  ...given,
});

/** Links without the URI's root, so that snapshots stay readable. */
export const toolsFor = (analysis: Analysis, rules: readonly RuleWords[] = []): HoverTools => ({
  rule: (id) => rules.find((rule) => rule.id === id),
  link({ uri, start }, label) {
    const line = (analysis.texts.get(uri) ?? '').slice(0, start).split('\n').length;
    return `[${label}, line ${line}](${uri.slice(root.length)}#L${line})`;
  },
});
