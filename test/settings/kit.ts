import type { TextEdit } from '../../server/src/model/place';
import { interpret, type NameMap, type Settings } from '../../server/src/settings';
import { readSettings } from '../../server/src/syntax/c-header';

const HEADER = 'memory:/settings.h';

/** The settings of one header text. */
export function settingsOf(header: string, maps: readonly NameMap[] = []): Settings {
  const text = readSettings({ entry: HEADER, read: (uri) => (uri === HEADER ? header : undefined) });
  return interpret(text, maps);
}

export const applyEdit = (text: string, edit: TextEdit): string =>
  text.slice(0, edit.place.start) + edit.newText + text.slice(edit.place.end);

/** What the getters give for every concept that is set, as plain values. */
export function valuesOf(settings: Settings): Record<string, number | string | boolean> {
  const values: Record<string, number | string | boolean> = {};
  for (const id of settings.concepts.keys()) {
    const value =
      settings.number(id)?.value.nom ??
      settings.switch(id)?.value ??
      settings.pin(id)?.value ??
      settings.choice(id)?.value ??
      settings.text(id)?.value;
    if (value !== undefined) values[id] = value;
    else if (settings.reading(id)?.value.kind === 'unassigned') values[id] = '(unassigned)';
  }
  return values;
}
