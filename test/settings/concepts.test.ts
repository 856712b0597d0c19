import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { getLanguageService, TextDocument } from 'vscode-json-languageservice';
import { CONCEPTS } from '../../server/src/settings';
import { CONCEPT_FILES } from '../../server/src/settings/concepts';
import { toSi, unitExists } from '../../server/src/units';
import { kindRecord } from '../../server/src/units/kinds';
import { NEEDED } from './needed';

const FILES = 'axis build endstop guard heat link machine motion output panel sensing'.split(' ');
const schema = JSON.parse(readFileSync('schemas/concepts.schema.json', 'utf8'));

async function problemsOf(text: string): Promise<string[]> {
  const service = getLanguageService({});
  const document = TextDocument.create('memory:/group.json', 'json', 1, text);
  const found = await service.doValidation(
    document,
    service.parseJSONDocument(document),
    { schemaValidation: 'error' },
    schema,
  );
  return found.map(({ message, range }) => `line ${range.start.line + 1}: ${message}`);
}

describe('concept files', () => {
  it.each(FILES)('%s.json meets schemas/concepts.schema.json', async (name) => {
    expect(await problemsOf(readFileSync(`schemas/concepts/${name}.json`, 'utf8'))).toEqual([]);
  });

  it.each([
    ['a misspelled field', '"explane": "A."'],
    ['an unknown bound', '"bound": "both"'],
    ['a unit without a quantity', '"unit": "mm"'],
    ['an unknown type', '"type": "float"'],
  ])('the schema refuses %s', async (_, field) => {
    const plain = '"title": "a", "type": "text", "bound": "board", "explain": "One. Two."'.split(', ');
    const key = field.split(':')[0] ?? '';
    const fields = [...plain.filter((other) => !other.startsWith(key)), field].join(', ');
    const text = `{ "group": "axis", "title": "Axes", "concepts": [{ "id": "a.b", ${fields} }] }`;
    expect(await problemsOf(text)).not.toEqual([]);
    expect(await problemsOf(text.replace(fields, plain.join(', ')))).toEqual([]);
  });
});

describe('concepts', () => {
  const concepts = [...CONCEPTS.values()];

  it('have unique ids', () => {
    const ids = CONCEPT_FILES.flatMap(({ concepts: records }) => records.flatMap(({ id }) => id));
    expect(ids.filter((id, index) => ids.indexOf(id) !== index)).toEqual([]);
    expect(concepts.length).toBeGreaterThan(150);
  });

  it('leave no placeholder open', () => {
    expect(concepts.filter(({ id, title }) => /[{}]/.test(id + title)).map(({ id }) => id)).toEqual([]);
  });

  it('carry units that exist and fit their quantity', () => {
    for (const { id, quantity, unit, type } of concepts) {
      if (type !== 'number' && type !== 'integer') {
        expect([id, quantity, unit]).toEqual([id, undefined, undefined]);
        continue;
      }
      expect(quantity, id).toBeDefined();
      if (quantity) expect(unitExists(unit ?? '', quantity), `${id}: ${unit}`).toBe(true);
      if (quantity && !unit) expect(kindRecord(quantity).bare, id).toBe(true);
    }
  });

  it('have ranges in order, the usual one inside the hard one', () => {
    for (const { id, hard, usual, usualByDrive, storageBits } of concepts) {
      for (const span of [usual, ...Object.values(usualByDrive ?? {})]) {
        if (!span) continue;
        expect(span.lo ?? -Infinity, id).toBeLessThanOrEqual(span.hi ?? Infinity);
        expect(span.lo ?? -Infinity, id).toBeGreaterThanOrEqual(hard?.lo ?? -Infinity);
        expect(span.hi ?? Infinity, id).toBeLessThanOrEqual(hard?.hi ?? Infinity);
        if (storageBits) expect(span.hi ?? 0, id).toBeLessThanOrEqual(2 ** storageBits - 1);
      }
    }
  });

  it('have choices where they are choices, what a pin needs where they are pins', () => {
    for (const { id, type, choices, pin } of concepts) {
      expect((choices?.length ?? 0) > 1, id).toBe(type === 'choice');
      expect(pin !== undefined, id).toBe(type === 'pin');
    }
  });

  it('explain themselves in a few sentences', () => {
    for (const { id, explain } of concepts) {
      const sentences = explain.split(/[.?!](?:\s|$)/).filter((sentence) => sentence.trim() !== '');
      expect(sentences.length, id).toBeGreaterThanOrEqual(1);
      expect(sentences.length, id).toBeLessThanOrEqual(5);
    }
  });

  it('carry a caution wherever heat, guards of heat or moving ends are set', () => {
    const silent = concepts.filter(
      ({ id, caution }) =>
        /^guard\.(tool|bed)|heater\.(pin|activeLevel)$|sensor\.(pin|curve|pullUp)$|travel(Low|High)$|homeSide$|spindle\.pin|laser\.pin/.test(
          id,
        ) && !caution,
    );
    expect(silent.map(({ id }) => id)).toEqual([]);
  });

  it('say for every guard which way is weaker', () => {
    const silent = concepts.filter(({ id, weaker }) => id.startsWith('guard.') && !weaker);
    expect(silent.map(({ id }) => id)).toEqual([]);
  });

  it.each(Object.entries(NEEDED))('hold what the rule %s needs', (_, ids) => {
    expect(ids.filter((id) => !CONCEPTS.has(id))).toEqual([]);
  });
});

/** What is tied to the board, to the machine or to both. Follows from what the setting describes; common practice, no source. */
const BOUND: readonly [pattern: RegExp, bound: string][] = [
  [/(\.pin|Pin|PinA|PinB)$/, 'board'],
  [/^build\.(target|clock|loadAddress)$|^machine\.board$|^link\.\w+\.port$/, 'board'],
  [/(senseResistor|referenceVoltage|sensor\.pullUp|adcBits|driverAddress)$/, 'board'],
  [/^(tool|bed|fan|spindle|laser)\..*activeLevel$|enableActiveLevel$/, 'board'],
  [
    /^axis\..*(minPulseWidth|dirSetup|microsteps|stepsPerMm|maxSpeed|motorCurrent|directionReversed)$/,
    'coupled',
  ],
  [/(travelLow|travelHigh|homeSide|homePosition|maxAcceleration)$|^probe\.(offset|area)/, 'machine'],
  [/(sensor\.curve|pwmFrequency|onTemperature|minDuty|\.k[pid])$|^store\.key$/, 'coupled'],
  [/(maxTemperature|minFeedTemperature)$/, 'machine'],
  [/^(endstop|probe)\..*(activeLevel|pull|debounce)$/, 'coupled'],
  [/^link\.\w+\.(baud|lineWindow|receiveBuffer)$|^motion\.plannerDepth$|^guard\..*(Window|Band)$/, 'coupled'],
];

describe('moving to another board', () => {
  it.each(BOUND)('%s is bound to: %s', (pattern, bound) => {
    const matching = [...CONCEPTS.values()].filter(({ id }) => pattern.test(id));
    expect(matching.length).toBeGreaterThan(0);
    expect(matching.filter((concept) => concept.bound !== bound).map(({ id }) => id)).toEqual([]);
  });
});

describe('pins', () => {
  it('that measure a voltage need an analog input, which software cannot replace', () => {
    const sensors = [...CONCEPTS.values()].filter(({ id }) => id.endsWith('.sensor.pin'));
    expect(sensors.length).toBeGreaterThan(1);
    for (const { pin } of sensors)
      expect(pin).toEqual({ needs: ['analog'], direction: 'in', hardwareOnly: true });
  });
});

describe('usual speeds', () => {
  // A feed rate in mm/min read as mm/s is 60 times too large: 9000 mm/min = 150 mm/s (60 s a minute, by definition).
  it('tell 9000 mm/min from 9000 mm/s on a belt', () => {
    const band = CONCEPTS.get('axis.x.maxSpeed')?.usualByDrive?.belt;
    expect(toSi(9000, 'mm/min', 'speed')).toBeCloseTo(0.15, 12);
    expect(9000).toBeGreaterThan(5 * (band?.hi ?? 0));
    expect(150).toBeLessThan(band?.hi ?? 0);
  });
});
