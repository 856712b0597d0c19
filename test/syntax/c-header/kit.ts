import type { ReadOptions } from '../../../server/src/syntax/c-header';
import { readSettings } from '../../../server/src/syntax/c-header';
import type { Entry, SettingsText, SettingValue } from '../../../server/src/syntax/entry';

const ROOT = 'file:///machine/';

export const uriOf = (name: string): string => ROOT + name;

/** Reads files given by name; the first is the entry. */
export function readFiles(
  files: Readonly<Record<string, string>>,
  options: Partial<ReadOptions> = {},
): SettingsText {
  return readSettings({
    entry: uriOf(Object.keys(files)[0] ?? ''),
    read: (uri) => (uri.startsWith(ROOT) ? files[decodeURIComponent(uri.slice(ROOT.length))] : undefined),
    ...options,
  });
}

export const readOne = (text: string, options: Partial<ReadOptions> = {}): SettingsText =>
  readFiles({ 'main.h': text }, options);

/** The only, or the last, entry of a name. */
export function entryOf(text: SettingsText, name: string): Entry {
  const entry = text.entries.findLast((one) => one.name === name);
  if (!entry) throw new Error(`no entry ${name}: ${text.entries.map((one) => one.name).join(' ')}`);
  return entry;
}

/** A value as one short text. */
export function shown(value: SettingValue): string {
  switch (value.kind) {
    case 'empty':
      return 'empty';
    case 'number':
      return `${value.exact ?? value.value}${value.integer ? '' : ' floating'}`;
    case 'text':
      return JSON.stringify(value.text);
    case 'word':
      return `word ${value.word}`;
    case 'list':
      return `{${value.items.map((item) => shown(item.value)).join(', ')}}`;
    case 'other':
      return `other ${value.text}${value.undecided ? ' (undecided)' : ''}`;
  }
}

/** All entries as lines `NAME state value`. */
export const table = (text: SettingsText): string[] =>
  text.entries.map((entry) => `${entry.name} ${entry.state} ${shown(entry.value)}`);
