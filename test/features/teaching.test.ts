import { parse } from 'jsonc-parser';
import { describe, expect, test } from 'vitest';
import { labelOf, namesTarget, teachingEdit, wholeMap } from '../../server/src/features/teaching';
import type { TextEdit } from '../../server/src/model/place';
import { handmade, root } from './handmade';

const uri = `${root}own.names.json`;
const analysisOf = (map: string) => {
  const analysis = handmade({ texts: { 'fettle.json': '{}', 'own.names.json': map } });
  return { ...analysis, files: { ...analysis.files, names: [uri] } };
};
const applied = (text: string, edits: readonly TextEdit[]): string =>
  [...edits]
    .sort((one, other) => other.place.start - one.place.start)
    .reduce(
      (before, { place, newText }) => before.slice(0, place.start) + newText + before.slice(place.end),
      text,
    );
const taught = (
  map: string,
  name = 'plate',
  meaning: Parameters<typeof teachingEdit>[3] = 'bed.maxTemperature',
) => {
  const analysis = analysisOf(map);
  const target = namesTarget(analysis, undefined);
  return target && teachingEdit(analysis, target, name, meaning)?.edits;
};

const layouts = [
  '{}',
  '{ }',
  '{\n}',
  '\uFEFF{}',
  '{ "format": 1 }',
  '{ "format": 1, }',
  '{\n  "format": 1, // one\n}\n',
  '{\n  "format": 1 // one\n  // two\n}\n',
  '{ "names": {} }',
  '{ "names": { } , "known": [] }',
  '{\r\n\t"names": {\r\n\t}\r\n}\r\n',
  '{ "names": { "a": "link.host.port" } }',
  '{ "names": { "a": "link.host.port", } }',
  '{\n  "names": {\n    "a": "link.host.port" /* keep */\n  }\n}',
  '{\n  "names": {\n    "a": "link.host.port", /* keep */ // this\n    // and this\n  },\n  "known": []\n}',
  '{\n  "names": {\n    "a": "link.host.port" // why, not\n    , "b": { "concept": "link.host.baud" } // last\n    // end\n  }\n}',
  '{\r  "names": {\r    "a": "link.host.port"\r  }\r}\r',
  '// head\n{ /* a */ "names": /* b */ { /* c */ "a": /* d */ "link.host.port" /* e */ } /* f */ }\n// tail',
];

describe('teaching writes into a name map', () => {
  test.each(layouts)('%j: only insertions, and the map has one name more', (map) => {
    const edits = taught(map);
    expect(edits).toBeDefined();
    for (const { place } of edits ?? []) expect(place.end).toBe(place.start);
    const after = applied(map, edits ?? []);
    const [had, has] = [map, after].map((text) =>
      parse(text.replace('\uFEFF', ''), [], { allowTrailingComma: true }),
    );
    const errors: never[] = [];
    parse(after.replace('\uFEFF', ''), errors, { allowTrailingComma: true });
    expect(errors, after).toEqual([]);
    expect(has, after).toEqual({ ...had, names: { ...had.names, plate: 'bed.maxTemperature' } });
    const remarks = (text: string) => text.match(/\/\/[^\r\n]*|\/\*.*?\*\//g)?.length ?? 0;
    expect(remarks(after)).toBe(remarks(map));
    // A second name goes in as well.
    expect(taught(after, 'other')).toBeDefined();
  });

  test('a name that the map has, with a meaning that cannot be used, gets another one', () => {
    const map = '{ "names": { "plate": "no.such", "a": "link.host.port" } }';
    expect(applied(map, taught(map) ?? [])).toBe(
      '{ "names": { "plate": "bed.maxTemperature", "a": "link.host.port" } }',
    );
  });

  test('a trailing comma stays one', () => {
    const map = '{\n  "names": {\n    "a": "link.host.port",\n  },\n}\n';
    expect(applied(map, taught(map) ?? [])).toBe(
      '{\n  "names": {\n    "a": "link.host.port",\n    "plate": "bed.maxTemperature",\n  },\n}\n',
    );
  });

  test.each(['', '{', '[]', 'null', '{ "names": [] }', '{ "names": 3 }', '{ "names": { "a": } }', '{} {}'])(
    '%j is left alone',
    (map) => expect(taught(map)).toBeUndefined(),
  );
});

test('lists are labelled by what they have in common', () => {
  expect(labelOf(['bed.maxTemperature'], '°C')).toBe('bed.maxTemperature (°C)');
  expect(labelOf(['axis.x.maxSpeed', 'axis.y.maxSpeed', 'axis.z.maxSpeed'], 'mm/min')).toBe(
    'axis.{x, y, z}.maxSpeed (mm/min)',
  );
  expect(labelOf(['probe.offsetX', 'probe.offsetY'])).toBe('probe.offset{X, Y}');
  expect(labelOf(['axis.x.travelLow', '', 'axis.z.travelLow'])).toBe('axis.{x, –, z}.travelLow');
  expect(labelOf(['tool.0.heater.kp', 'tool.0.heater.ki', 'tool.0.heater.kd'])).toBe(
    'tool.0.heater.k{p, i, d}',
  );
});

test('a whole map is JSON with comments, whatever the names and reasons are', () => {
  const name = 'a"b\\c\n';
  const text = wholeMap(
    [{ name, entry: { list: ['x'], tokens: { '"': 'y' } }, reasons: ['one\ntwo', '*/ three'] }],
    ['four\nfive'],
  );
  const errors: never[] = [];
  expect(parse(text, errors)).toEqual({
    format: 1,
    names: { [name]: { list: ['x'], tokens: { '"': 'y' } } },
  });
  expect(errors).toEqual([]);
});
