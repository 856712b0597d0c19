import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/mains-heater';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const SAFE = ', "earthed": true, "ownFuse": true, "thermalLink": true';
const heater = (voltage: string, alternating: boolean, more = '') =>
  `"voltage": "${voltage}", "ratedVoltage": "${voltage}", "ratedPower": "600 W", "alternating": ${alternating}${more}`;
const project = (bed: string, board = ''): string => `
//- s.h
#define BED_HEATER_PIN P1
//- b.board.json
{ "name": "B"${board} }
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", ${bed} } } }`;
const zeroCross = (rating: string) => `, "externalSwitch": { "kind": "zeroCross", "rating": "${rating}" }`;
const output = (kind: string) =>
  `, "outputs": { "A": { "pin": "P1"${kind === '' ? '' : `, "kind": "${kind}"`} } }`;

it('worked example: 600 W, 230 V: 2.6 A, 3.1 W lost in its switch', async () => {
  const { analysis, remedies } = await expectFinding(
    rule,
    project(heater('230 V', true, SAFE + zeroCross('4 A'))),
    'info',
    '230 V, 600 W, 2.61 A, 3.1 W lost in its switch, which needs a heat sink',
    'must be earthed',
  );
  expect(analysis.findings[0]?.caution).toContain('Mains can kill');
  expect(remedies).toEqual(['words: Have it wired and checked by a licensed electrician, by local codes']);
});

// IEC 60364-4-41: 25 V alternating, 60 V direct.
it.each([
  ['25 V', true, undefined],
  ['25.1 V', true, 'warning'],
  ['60 V', false, undefined],
  ['60.1 V', false, 'warning'],
])('%s, alternating %s: %s', async (voltage, alternating, severity) => {
  const { findings } = await ask(rule, project(heater(voltage, alternating)));
  expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
});

describe('what must be noted', () => {
  it.each([
    ['earthed', 'earth on its plate'],
    ['ownFuse', 'fuse of its own'],
    ['thermalLink', 'thermal link'],
  ])('without %s a warning', async (key, words) => {
    const missing = SAFE.replace(`, "${key}": true`, '');
    await expectFinding(
      rule,
      project(heater('230 V', true, missing)),
      'warning',
      `Not noted on the sheet: ${words}`,
    );
    const absent = SAFE.replace(`"${key}": true`, `"${key}": false`);
    await expectFinding(rule, project(heater('230 V', true, absent)), 'warning', `It has no ${words}`);
  });
  it('asks for earth and link', async () => {
    const { questions } = await ask(rule, project(heater('230 V', true)));
    expect(questions.join()).toContain('Is the plate earthed?');
    expect(questions.join()).toContain('thermal link');
  });
  it('a reason for no link, and the switch’s own fuse, count', async () => {
    const noted =
      ', "earthed": true, "thermalLink": false, "noLinkReason": "contactor", "externalSwitch": { "kind": "zeroCross", "rating": "10 A", "fuse": "4 A" }';
    await expectFinding(rule, project(heater('230 V', true, noted)), 'info');
  });
});

describe('the switch', () => {
  // 1.5 · 2.609 = 3.913 A
  it.each([
    ['3.92 A', 'info'],
    ['3.91 A', 'warning'],
    ['2.61 A', 'warning'],
    ['2.6 A', 'error'],
  ])('made for %s: %s', async (rating, severity) => {
    await expectFinding(rule, project(heater('230 V', true, SAFE + zeroCross(rating))), severity);
  });
  it('on a transistor of the board: an error', async () => {
    const bed = heater('230 V', true, `${SAFE}, "output": "A"`);
    await expectFinding(rule, project(bed, output('transistor')), 'error', 'hangs on A directly');
    await expectFinding(rule, project(bed, output('')), 'error');
    await expectFinding(rule, project(bed, output('relay')), 'info');
  });
});

describe('facts', () => {
  it('the same in kilovolts and kilowatts', () =>
    expectFinding(
      rule,
      project('"voltage": "0.23 kV", "alternating": true, "ratedVoltage": "230 V", "ratedPower": "0.6 kW"'),
      'warning',
      '2.61 A',
    ));
  it('the power unknown: still told', async () => {
    await expectFinding(rule, project('"voltage": "230 V", "alternating": true'), 'warning', '(230 V)');
    await expectQuestion(rule, project('"ratedVoltage": "24 V"'), '');
  });
  it('extra-low voltage: nothing to say', () => expectQuiet(rule, project(heater('24 V', false))));
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(
      rule,
      project('"voltage": "230 A", "alternating": true, "ratedVoltage": "230 V"'),
    );
    expect(findings.filter((one) => one.includes('mains'))).toHaveLength(1);
  });
});
