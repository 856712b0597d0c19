import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/sensor-supply';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { inputProject } from './kit';

// The range is the sensor's own; 0.8 of its lower end is common practice; 85 to 110 % of a single rated voltage by IEC 60947-5-2, from memory.
const project = (range: string | undefined, supply: string, more = '', kind = 'npn') =>
  inputProject({
    connector: supply === '' ? undefined : `"supply": "${supply}"`,
    sensor: `"kind": "${kind}", "contact": "NO"${range === undefined ? '' : `, "supplyRange": "${range}"`}${more}`,
  });

describe('worked examples', () => {
  it('10–30 V on 5.0 V: error, 5 < 8', async () => {
    const { remedies } = await expectFinding(
      rule,
      project('10..30 V', '5 V'),
      'error',
      'needs at least 10 V; it gets 5 V',
      'half the distance',
    );
    expect(remedies).toEqual(['words: Use a sensor that is made for this voltage']);
  });
  it('6–36 V on 5.0 V: warning, 5 > 4.8', async () => {
    await expectFinding(rule, project('6..36 V', '5 V'), 'warning', 'needs at least 6 V');
  });
});

describe('limits of 10–30 V', () => {
  it.each([
    ['7.99 V', 'error'],
    ['8 V', 'warning'],
    ['9.99 V', 'warning'],
    ['10 V', undefined],
    ['30 V', undefined],
    ['30.1 V', 'error'],
  ])('%s: %s', async (supply, severity) => {
    const { findings } = await ask(rule, project('10..30 V', supply));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it.each([
    // 7.6–8.4 V crosses 8 V: surely a warning, perhaps an error.
    ['8 V ±5 %', 'warning'],
    // 9.5–10.5 V crosses 10 V.
    ['10 V ±5 %', 'info'],
    // The nominal value is allowed, only the tolerance is not.
    ['30 V ±5 %', 'info'],
    ['31 V ±5 %', 'warning'],
    ['33 V ±5 %', 'error'],
  ])('%s: %s', async (supply, severity) => {
    const { findings } = await ask(rule, project('10..30 V', supply));
    expect(findings.map((text) => text.split(':')[0])).toEqual([severity]);
  });
});

it.each([
  // 24 V: 20.4 to 26.4 V.
  ['24 V ±5 %', undefined],
  ['26.4 V', undefined],
  ['26.5 V', 'error'],
  ['20.4 V', undefined],
  ['20.3 V', 'warning'],
  ['16 V', 'error'],
])('a single rated voltage of 24 V on %s: %s', async (supply, severity) => {
  const { findings } = await ask(rule, project('24 V', supply));
  expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
});

it("the sheet's own feed wins over the connector's", async () => {
  const { agreements } = await expectQuiet(rule, project('10..30 V', '5 V', ', "supply": "24 V"'));
  expect(agreements).toEqual([expect.stringContaining('gets 24 V')]);
});

it('names a rail that would do, and what follows', async () => {
  const source = project('10..30 V', '5 V').replace(
    '"name": "B",',
    '"name": "B", "rails": { "5 V": { "voltage": "5 V" }, "24 V": { "voltage": "24 V ±5 %" } },',
  );
  const { remedies } = await expectFinding(rule, source, 'error');
  expect(remedies).toEqual([expect.stringMatching(/^words: Feed it from the 24 V rail .* on the pin/)]);
});

it.each(['10..30 V', '10000..30000 mV', '0.01..0.03 kV'])('the same range as %s', async (range) => {
  await expectFinding(rule, project(range, '5 V'), 'error', 'at least 10 V');
});

it('an estimated supply: warning at most, and named', async () => {
  const source = project('10..30 V', '', ', "supply": { "value": "5 V", "quality": "estimated" }');
  await expectFinding(rule, source, 'warning', 'estimated');
});

describe('what is missing is asked for, silently', () => {
  it('the range', async () => {
    await expectQuestion(rule, project(undefined, '5 V'), 'sensors.x.supplyRange');
  });
  it('the supply', async () => {
    await expectQuestion(rule, project('10..30 V', ''), 'sensors.x.supply');
  });
  it('a contact takes none', async () => {
    const { questions } = await expectQuiet(rule, project(undefined, '5 V', '', 'contact'));
    expect(questions).toEqual([]);
  });
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project('10..30 mm', '5 V'));
  expect(findings).toHaveLength(1);
  expect(findings[0]).toContain('mm');
});
