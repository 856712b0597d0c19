import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sensingDistance } from '../../../server/src/physics/proximity';
import rule from '../../../server/src/rules/inputs/target-metal';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { inputProject } from './kit';

// IEC 60947-5-2: 0.81 to 1.21 of the rated distance on steel; reduction factors by data sheets (aluminium 0.2–0.5).
const probe = (members: string, more = '') =>
  inputProject({ sensor: `"kind": "npn", "contact": "NO", "sensing": "inductive"${members}`, more })
    .replaceAll('ENDSTOP_X_LOW', 'PROBE')
    .replace('endstop.x.low', 'probe');
const members = (facts: Readonly<Record<string, string>>) =>
  Object.entries({ ratedDistance: '4 mm', targetMetal: 'aluminium', faceHeight: '0.8 mm', ...facts })
    .filter(([, value]) => value !== '')
    .map(([name, value]) => `, "${name}": ${JSON.stringify(value)}`)
    .join('');
const project = (facts: Readonly<Record<string, string>> = {}) => probe(members(facts));

describe('worked examples', () => {
  it('4 mm, aluminium under 3 mm of glass: 0.65…2.42 mm, less than the glass', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({ cover: '3 mm' }),
      'error',
      'A 4 mm sensor sees aluminium at 0.648–2.42 mm only',
      '3 mm thick',
      'it will not fire before the nozzle hits',
    );
    expect(remedies.every((text) => text.startsWith('words: '))).toBe(true);
  });
  it('8 mm on bare aluminium: 1.30…4.84 mm agrees', async () => {
    const { agreements } = await expectQuiet(rule, project({ ratedDistance: '8 mm' }));
    expect(agreements).toEqual([expect.stringContaining('1.3–4.84 mm')]);
  });
});

// Steel, 4 mm: 3.24 to 4.84 mm.
describe('limits on steel', () => {
  it.each([
    ['3.23 mm', undefined],
    ['3.24 mm', 'warning'],
    ['4.83 mm', 'warning'],
    ['4.84 mm', 'error'],
    ['5 mm', 'error'],
  ])('a face %s above the nozzle: %s', async (faceHeight, severity) => {
    const { findings } = await ask(rule, project({ targetMetal: 'steel', faceHeight }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });
});

it('at some corners only: warning, "may"', async () => {
  await expectFinding(rule, project(), 'warning', 'it may fire only after the nozzle has touched');
});

it("the sheet's own factor comes first", async () => {
  // 0.5·0.81·4 = 1.62 mm.
  await expectQuiet(rule, project().replace('"sensing"', '"metalFactor": 0.5, "sensing"'));
});

it('glass alone is not seen', async () => {
  await expectFinding(rule, project({ targetMetal: 'glass' }), 'error', 'it will not fire');
});

it("the bed's material counts where the sensor names none", async () => {
  const source = project({ targetMetal: '' }).replace(
    '"name": "M"',
    '"name": "M", "bed": { "material": "steel" }',
  );
  await expectQuiet(rule, source);
});

it('an estimate keeps the error when no corner saves it (crushing point)', async () => {
  const source = project({ cover: '3 mm' }).replace(
    '"cover": "3 mm"',
    '"cover": { "value": "3 mm", "quality": "estimated" }',
  );
  await expectFinding(rule, source, 'error', 'estimated');
});

it.each(['4 mm', '0.4 cm', '4000 µm'])('the same with the distance as %s', async (ratedDistance) => {
  const source = project({ cover: '3 mm' }).replace(
    '"ratedDistance": "4 mm"',
    `"ratedDistance": "${ratedDistance}"`,
  );
  await expectFinding(rule, source, 'error', 'A 4 mm sensor');
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['ratedDistance', 'what distance is printed on it'],
    ['targetMetal', 'what metal is the bed'],
    ['faceHeight', 'above the nozzle'],
  ])('%s', async (name, question) => {
    await expectQuestion(rule, project({ cover: '3 mm', [name]: '' }), question);
  });
  it('a thin target is not computed', async () => {
    await expectQuestion(rule, project({ cover: '3 mm', targetThickness: '0.5 mm' }), 'thinner than 1 mm');
    await expectFinding(rule, project({ cover: '3 mm', targetThickness: '1 mm' }), 'error');
  });
  it('other kinds are not judged', async () => {
    const { questions } = await expectQuiet(
      rule,
      project({ cover: '3 mm' }).replace('"inductive"', '"capacitive"'),
    );
    expect(questions).toEqual([]);
  });
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ cover: '3 V' }));
  expect(findings.some((text) => text.includes('length'))).toBe(true);
});

it('a thicker cover never brings the sensor nearer, a better metal never takes it away', () => {
  const part = fc.double({ min: 0, max: 1, noNaN: true });
  fc.assert(
    fc.property(part, part, part, part, (distance, factor, cover, more) => {
      expect(sensingDistance(distance, factor, 1, cover + more)).toBeLessThanOrEqual(
        sensingDistance(distance, factor, 1, cover),
      );
      expect(sensingDistance(distance, factor + more, 1, cover)).toBeGreaterThanOrEqual(
        sensingDistance(distance, factor, 1, cover),
      );
    }),
  );
});
