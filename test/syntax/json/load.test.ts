import { describe, expect, it } from 'vitest';
import { point } from '../../../server/src/model/interval';
import { loadBySchema, type Schema } from '../../../server/src/syntax/json';

const schema: Schema = {
  type: 'object',
  required: ['name'],
  properties: {
    name: { type: 'string', title: 'Name' },
    voltage: { $ref: '#/definitions/voltage', title: 'Voltage' },
    share: { $ref: '#/definitions/ratio', title: 'Share' },
    feed: { $ref: '#/definitions/feed', title: 'Feed' },
    base: { as: 'address', title: 'Base' },
    on: { type: 'boolean', title: 'On' },
    teeth: { type: 'integer', minimum: 1, maximum: 500, title: 'Teeth' },
    side: { type: 'string', enum: ['left', 'right'], title: 'Side' },
    order: { type: 'array', as: 'fact', items: { type: 'string' }, title: 'Order' },
    parts: {
      type: 'object',
      additionalProperties: {
        type: 'object',
        noun: 'part',
        title: 'Part',
        properties: {
          voltage: { $ref: '#/definitions/voltage', title: 'Voltage' },
          plug: { type: 'string', reference: 'plugs', title: 'Plug' },
        },
      },
    },
    list: { type: 'array', items: { type: 'object', properties: { on: { type: 'boolean', title: 'On' } } } },
  },
  definitions: {
    voltage: { quantity: 'voltage' },
    ratio: { quantity: 'ratio' },
    feed: { quantity: 'voltage', as: 'voltageOrRail' },
  },
};

const load = (text: string) =>
  loadBySchema<Record<string, unknown>>(schema, 'file:///a.json', text, {
    source: 'sheet',
    rail: (name) => {
      if (name === 'logic') return { value: point(3.3), quality: 'stated', label: 'logic rail' };
      return name === 'supply' ? null : undefined;
    },
  });

const parts = (text: string) => load(text).value?.parts as ReadonlyMap<string, unknown> | undefined;

/** `id: text at the place: message`. */
const found = (text: string): string[] =>
  load(text).problems.map(
    ({ id, place, message }) => `${id}: ${text.slice(place.start, place.end)}: ${message}`,
  );

describe('facts', () => {
  it('a quantity is a fact with interval, place, words and its own text', () => {
    const text = '{"name": "m", "voltage": "24 V ±5 %"}';
    const fact = load(text).value?.voltage;
    expect(fact).toMatchObject({
      quality: 'stated',
      label: 'voltage (sheet)',
      text: '24 V ±5 %',
      place: { uri: 'file:///a.json', start: 25, end: 36 },
    });
    const { value } = fact as { value: { lo: number; nom: number; hi: number } };
    expect([value.lo, value.nom, value.hi].map((volts) => volts.toFixed(6))).toEqual([
      '22.800000',
      '24.000000',
      '25.200000',
    ]);
  });

  it('an object says how good the value is and where it is from', () => {
    const text =
      '{"name": "m", "voltage": {"value": "24 V", "quality": "measured", "source": "meter, 3 May"}}';
    expect(load(text)).toMatchObject({
      problems: [],
      value: { voltage: { value: point(24), quality: 'measured', source: 'meter, 3 May' } },
    });
  });

  it('plain numbers are complete for shares only', () => {
    expect(load('{"name": "m", "share": 0.4}').value?.share).toMatchObject({ value: point(0.4) });
    expect(found('{"name": "m", "voltage": 24}')).toEqual([
      'files/unit: 24: The unit of this voltage is missing. Write it as text, like "24 V".',
    ]);
  });

  it('an entry of a map knows its name, and its place is its key', () => {
    const text = '{"name": "m", "parts": {"a": {"voltage": "5 V"}}}';
    const part = parts(text)?.get('a');
    expect(part).toMatchObject({
      name: 'a',
      place: { start: text.indexOf('"a"'), end: text.indexOf('"a"') + 3 },
      voltage: { label: 'voltage of part a (sheet)' },
    });
  });

  it('absent maps and lists are empty, other absent members undefined', () => {
    const { value } = load('{"name": "m"}');
    expect(value).toMatchObject({ parts: new Map(), list: [] });
    expect(value?.order).toBeUndefined();
  });

  it('a list that is one fact', () => {
    expect(load('{"name": "m", "order": ["a", "b"]}').value?.order).toMatchObject({ value: ['a', 'b'] });
  });

  it('an address may be hexadecimal', () => {
    expect(load('{"name": "m", "base": "0x08000000"}').value?.base).toMatchObject({
      value: point(134217728),
    });
    expect(load('{"name": "m", "base": 4096}').value?.base).toMatchObject({ value: point(4096) });
  });

  it('a supply may be a rail', () => {
    expect(load('{"name": "m", "feed": "logic"}').value?.feed).toMatchObject({
      value: point(3.3),
      text: 'logic',
    });
    expect(load('{"name": "m", "feed": "5 V"}').value?.feed).toMatchObject({ value: point(5) });
    expect(load('{"name": "m", "feed": "supply"}')).toMatchObject({ problems: [], value: { name: {} } });
    expect(load('{"name": "m", "feed": "logik"}').references).toMatchObject([
      { to: 'rails', name: { value: 'logik' } },
    ]);
  });

  it('references are collected with their places', () => {
    const text = '{"name": "m", "parts": {"a": {"plug": "J1"}}}';
    expect(load(text).references).toMatchObject([
      { to: 'plugs', name: { value: 'J1', place: { start: text.indexOf('"J1"') } } },
    ]);
  });

  it('shipped data have no places and are of data-sheet quality', () => {
    const { value } = loadBySchema<Record<string, unknown>>(schema, 'x', '{"name": "m", "voltage": "5 V"}', {
      shipped: true,
    });
    expect(value?.voltage).toEqual({
      value: point(5),
      place: undefined,
      quality: 'datasheet',
      label: 'voltage',
      text: '5 V',
    });
  });
});

describe('malformed parts: each is reported at its place, and the rest is loaded', () => {
  const cases: readonly [string, string, readonly string[]][] = [
    [
      'wrong unit',
      '"voltage": "24 mm"',
      ['files/unit: mm: "mm" is not a unit of voltage. Write a voltage like "24 V".'],
    ],
    ['unknown unit', '"voltage": "24 Q"', ['files/unit: Q: ']],
    ['missing unit', '"voltage": "24"', ['files/unit: 24: The unit of this voltage is missing.']],
    ['decimal comma', '"voltage": "3,3 V"', ['files/unit: ,: A comma is not read as a decimal sign']],
    ['empty text', '"voltage": ""', ['files/unit: "": There is no value here.']],
    [
      'a number beyond all bounds',
      '"voltage": "1e999 V"',
      ['files/unit: 1e999: This number is too large to compute with.'],
    ],
    [
      'a JSON number beyond all bounds',
      '"share": 1e999',
      ['files/unit: 1e999: This number is too large to compute with.'],
    ],
    ['an escaped text', '"voltage": "24 \\u0051"', ['files/unit: "24 \\u0051": ']],
    [
      'true for a quantity',
      '"voltage": true',
      ['files/wrong-shape: true: Voltage is a voltage such as "24 V", not true or false.'],
    ],
    ['a list for a quantity', '"voltage": ["24 V"]', ['files/wrong-shape: ["24 V"]: Voltage is a voltage']],
    [
      'a quantity object without value',
      '"voltage": {"quality": "measured"}',
      ['files/wrong-shape: {"quality": "measured"}: "value" is missing here.'],
    ],
    [
      'a quantity object in itself',
      '"voltage": {"value": {"value": "5 V"}}',
      ['files/wrong-shape: {"value": "5 V"}: '],
    ],
    [
      'an unknown quality',
      '"voltage": {"value": "5 V", "quality": "good"}',
      ['files/wrong-shape: "good": The quality is one of'],
    ],
    [
      'an unknown key',
      '"voltag": "24 V"',
      [
        'files/unknown-key: "voltag": "voltag" is not known here, so it was not read. Did you mean "voltage"?',
      ],
    ],
    [
      'an unknown key in a quantity',
      '"voltage": {"value": "5 V", "qualty": "measured"}',
      ['files/unknown-key: "qualty": '],
    ],
    [
      'an unknown choice',
      '"side": "rigth"',
      ['files/wrong-shape: "rigth": Side is one of "left", "right". Did you mean "right"?'],
    ],
    [
      'text for a switch',
      '"on": "yes"',
      ['files/wrong-shape: "yes": On is true or false, not a text in double quotes.'],
    ],
    [
      'a broken number for a count',
      '"teeth": 19.5',
      ['files/wrong-shape: 19.5: Teeth is a whole number, not a broken number.'],
    ],
    ['a count below its least', '"teeth": 0', ['files/wrong-shape: 0: Teeth is at least 1.']],
    ['an absurd count', '"teeth": 1e300', ['files/wrong-shape: 1e300: Teeth is at most 500.']],
    [
      'a text for a list',
      '"list": "a"',
      ['files/wrong-shape: "a": This is a list [ … ], not a text in double quotes.'],
    ],
    ['null', '"name2": null, "on": null', ['files/unknown-key: "name2": ', 'files/wrong-shape: null: ']],
    ['a broken item of a list that is one fact', '"order": ["a", 2]', ['files/wrong-shape: 2: ']],
    [
      'a broken address',
      '"base": "start"',
      ['files/wrong-shape: "start": Base is an address such as "0x08000000".'],
    ],
    [
      'keys of the language itself',
      '"__proto__": {"on": true}, "constructor": 1',
      ['files/unknown-key: "__proto__"', 'files/unknown-key: "constructor"'],
    ],
    [
      'several at once',
      '"on": 1, "side": 2, "voltage": "3 A"',
      ['files/wrong-shape: 1: ', 'files/wrong-shape: 2: ', 'files/unit: A: '],
    ],
  ];
  it.each(cases)('%s', (_, member, expected) => {
    const text = `{"name": "m", ${member}, "parts": {"kept": {"voltage": "5 V"}}}`;
    const problems = found(text);
    expect(problems.map((problem, index) => problem.slice(0, expected[index]?.length ?? 0))).toEqual(
      expected,
    );
    expect([...(parts(text)?.keys() ?? [])]).toEqual(['kept']);
  });

  it.each([['[]'], ['"text"'], ['12'], ['null'], ['true']])('a root that is no object: %s', (text) => {
    const { value, problems } = load(text);
    expect(value).toBeUndefined();
    expect(problems.map((problem) => problem.id)).toEqual(['files/wrong-shape']);
  });

  it('a missing key that must be there', () => {
    expect(found('{"on": true}')).toEqual(['files/wrong-shape: {: "name" is missing here.']);
  });
});
