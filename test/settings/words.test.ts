import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { CONCEPTS } from '../../server/src/settings/concepts';
import { learnedWords } from '../../server/src/settings/nameRanking/learned';
import { patternTable } from '../../server/src/settings/nameRanking/patterns';
import { NO_PREFIX, nameWords, prefixOf } from '../../server/src/settings/nameRanking/tokens';
import { sensesOf, WORDS, weighted } from '../../server/src/settings/nameRanking/vocabulary';
import { isScale, scaleOf } from '../../server/src/units/convert';
import { KINDS, type Kind } from '../../server/src/units/kinds';
import { validateByLibrary } from '../syntax/json/library';

const read = (name: string) => readFileSync(new URL(`../../schemas/${name}`, import.meta.url), 'utf8');

test('the words fit their schema', async () => {
  const schema = JSON.parse(read('words.schema.json'));
  expect(await validateByLibrary(schema, read('words/trade.json'))).toEqual([]);
});

test('every sense that a setting is made of has words, and every concept is made of senses', () => {
  const used = [
    ...WORDS.parts.map(({ senses }) => senses),
    ...WORDS.together.map(({ senses }) => senses),
    ...Object.values(WORDS.settings).flat(),
    ...Object.values(WORDS.implied),
  ].flatMap((text) => text.split(' ').filter((each) => each !== ''));
  for (const each of used) expect(WORDS.senses, each).toHaveProperty([weighted(each)[0]]);
  for (const { pattern } of CONCEPTS.values()) {
    const said = Object.keys(WORDS.settings).some((id) =>
      id.includes('*')
        ? new RegExp(`^${id.replace(/[.{}]/g, '\\$&').replace('*', '.+')}$`).test(
            pattern.replace('{link}', 'host'),
          )
        : pattern === id || pattern.endsWith(`.${id}`),
    );
    expect(said, pattern).toBe(true);
  }
});

test('the units are units', () => {
  const kinds = Object.keys(KINDS) as Kind[];
  for (const unit of Object.keys(WORDS.units)) {
    expect(
      kinds.some((kind) => isScale(scaleOf(unit, kind))),
      unit,
    ).toBe(true);
  }
});

test('names are taken apart', () => {
  const words = (name: string) => nameWords(name).words.join(' ');
  expect(words('bedMaxTemperature')).toBe('bed max temperature');
  expect(words('BED_MAX_TEMP')).toBe('bed max temp');
  expect(words('PIDGain')).toBe('pid gain');
  expect(words('cold_side_fan')).toBe('coldside fan');
  expect(words('VMAX')).toBe('v max');
  expect(words('Z2_PIN')).toBe('z 2 pin');
  expect(words('SNS_R25')).toBe('sns r25');
  expect(nameWords('X_RUN_mA')).toMatchObject({ unit: 'mA' });
  expect(nameWords('rampX_mm_s2').unit).toBe('mm/s²');
  expect(nameWords('holdSeconds').unit).toBe('s');
  expect(nameWords('a'.repeat(5000)).words).toEqual([]);
});

test('short forms are understood', () => {
  const has = (word: string, sense: string) => expect([...sensesOf(word).keys()], word).toContain(sense);
  has('accel', 'acceleration');
  has('htr', 'heater');
  has('spndl', 'spindle');
  has('heaters', 'heater');
  has('temper', 'temperature');
  expect(sensesOf('zzyzx').size).toBe(0);
});

test('what most names begin with is left out', () => {
  const names = Array.from({ length: 10 }, (_, index) => `ACME_WORD${index}`);
  expect(prefixOf(names)).toEqual({ typeLetters: false, word: 'acme' });
  expect(nameWords('ACME_BED_PIN', prefixOf(names)).words).toEqual(['bed', 'pin']);
  const typed = ['nOne', 'fTwo', 'bThree', 'sFour', 'nFive', 'fSix', 'bSeven', 'sEight'];
  expect(nameWords('nBedPin', prefixOf(typed)).words).toEqual(['bed', 'pin']);
  expect(prefixOf(['xOne', 'yTwo', 'zThree', 'eFour', 'xFive', 'ySix', 'zSeven', 'eEight'])).toEqual(
    NO_PREFIX,
  );
});

test("names of known meaning teach words of nobody's trade", () => {
  const named = (words: string, id: string) => {
    const pattern = patternTable(CONCEPTS).patternOf(id);
    if (!pattern) throw new Error(id);
    return { words: words.split(' '), pattern };
  };
  const one = learnedWords([named('zorch heat gnarl', 'tool.0.heater.pin')]);
  expect([...(one.get('zorch')?.keys() ?? [])]).toEqual(['tool', 'pin']);
  const two = learnedWords([
    named('zorch heat gnarl', 'tool.0.heater.pin'),
    named('zorch gain p', 'tool.0.heater.kp'),
    named('bed gnarl', 'bed.heater.pin'),
  ]);
  expect([...(two.get('zorch')?.keys() ?? [])]).toEqual(['tool']);
  expect([...(two.get('gnarl')?.keys() ?? [])]).toEqual(['pin']);
  expect(two.has('heat')).toBe(false);
});
