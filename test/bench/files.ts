// The settings as a file of each format, with the place that is edited and the schema that says the same about the values.

import { neutralName } from '../../server/src/settings/neutralNames';
import { type Item, isSetting, marked, type Setting, unset } from './settings';

export type Format = 'header' | 'json' | 'yaml';

/** Place in a text, counted from 0, in UTF-16 units. */
export interface Place {
  readonly line: number;
  readonly character: number;
}

export interface BenchFile {
  readonly name: string;
  readonly text: string;
  /** The digit that the edits replace. */
  readonly digit: Place;
  /** Behind the first word of the marked setting's name, "AXIS_". */
  readonly inName: Place;
  /** In a name of the project's own that another value looks at; where there is none, the same as `inName`. */
  readonly inOwnName: Place;
}

export const fileNames: Readonly<Record<Format, string>> = {
  header: 'settings.h',
  json: 'settings.json',
  yaml: 'settings.yaml',
};

const writers: Readonly<Record<Format, (items: readonly Item[]) => string>> = {
  header: (items) => `${items.map(headerLine).join('\n')}\n`,
  json: (items) => `{\n${settingsOf(items).map(jsonLine).join(',\n')}\n}\n`,
  yaml: (items) => `${items.flatMap(yamlLine).join('\n')}\n`,
};

export function writeFile(format: Format, items: readonly Item[]): BenchFile {
  const text = writers[format](items);
  const value = `${marked.firstDigit}${marked.rest}`;
  const lines = text.split('\n');
  const line = lines.findIndex((entry) => entry.includes(marked.name) && entry.includes(value));
  const entry = lines[line] ?? '';
  const inName = { line, character: entry.indexOf(marked.name) + marked.name.indexOf('_') + 1 };
  const own = lines.findIndex((other) => other.includes(ownName));
  return {
    name: fileNames[format],
    text,
    digit: { line, character: entry.lastIndexOf(value) },
    inName,
    inOwnName: own < 0 ? inName : { line: own, character: (lines[own]?.indexOf(ownName) ?? 0) + 1 },
  };
}

const ownName = 'STATION_1_X_MM';

const headerLine = (item: Item): string =>
  isSetting(item) ? `#define ${item.name}${item.parameters} ${item.value}${item.tail}` : item.text;

const settingsOf = (items: readonly Item[]): Setting[] => items.filter(isSetting);

const jsonLine = (setting: Setting): string => `  "${setting.name}": ${JSON.stringify(plainValue(setting))}`;

/** JSON is YAML too (YAML 1.2.2, section 1.3), but comments stay. */
function yamlLine(item: Item): string[] {
  if (isSetting(item)) return [`${item.name}: ${JSON.stringify(plainValue(item))}`];
  if (item.text === '') return [''];
  return item.text.startsWith('//') ? [`#${item.text.slice(2)}`] : [];
}

type PlainValue = number | string | readonly number[];

/** Numbers, lists and texts as such; what only a preprocessor understands as text. */
function plainValue({ value }: Setting): PlainValue {
  if (/^-?[\d.]+f?$/.test(value)) return Number.parseFloat(value);
  if (/^"[^"]*"$/.test(value)) return value.slice(1, -1);
  if (/^\{[-\d., ]+\}$/.test(value)) return value.slice(1, -1).split(',').map(Number);
  return value;
}

/** JSON Schema (draft 7) of the settings: types, ranges, choices and descriptions, and of those that are not set. */
export function schemaOf(items: readonly Item[]): string {
  const properties = Object.fromEntries([
    ...settingsOf(items).map((setting) => [setting.name, propertySchema(setting)]),
    ...unset(items).map((concept) => [neutralName(concept), { description: concept.explain }]),
  ]);
  return JSON.stringify({
    $schema: 'http://json-schema.org/draft-07/schema#',
    type: 'object',
    properties,
    additionalProperties: false,
  });
}

function propertySchema(setting: Setting): object {
  const { concept, name } = setting;
  const value = plainValue(setting);
  const type = typeof value === 'object' ? 'array' : typeof value;
  if (!concept)
    return { type, description: `The project's own: ${name.replaceAll('_', ' ').toLowerCase()}.` };
  return {
    type,
    title: concept.title,
    description: [concept.explain, concept.physics, concept.caution].filter(Boolean).join('\n\n'),
    ...(type === 'number' && {
      ...(concept.hard?.lo !== undefined && { minimum: concept.hard.lo }),
      ...(concept.hard?.hi !== undefined && { maximum: concept.hard.hi }),
    }),
  };
}
