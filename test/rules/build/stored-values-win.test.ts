import { describe, expect, it } from 'vitest';
import rule, { nextKey } from '../../../server/src/rules/build/stored-values-win';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion } from '../answers';

/** Equality needs no source; which value is the weaker is data of the concepts. */
const project = (settings: string, stored: string, key = 'k7', enabled = '1') =>
  `#define STORE_ENABLED ${enabled}\n#define STORE_KEY "${key}"\n${settings}\n//- a.machine.json
{ "name": "m", "firmware": { "lastFlashedStoreKey": "k7", "stored": { ${stored} } } }
`;
const STEPS = '#define AXIS_X_STEPS_PER_MM 80';

describe('build/stored-values-win', () => {
  it('says which value the machine uses', async () => {
    const { remedies } = await expectFinding(
      rule,
      project(STEPS, '"axis.x.stepsPerMm": "100"'),
      'warning',
      'The file says 80 steps/mm; the machine will go on using the stored 100 steps/mm',
    );
    expect(remedies).toEqual([
      'ask: Set STORE_KEY to k8: the next build throws all stored values away',
      'words: Load the compiled values on the machine once, then store them',
    ]);
  });

  it('changes the key', () =>
    checkFix(
      rule,
      project(STEPS, '"axis.x.stepsPerMm": "100"'),
      project(STEPS, '"axis.x.stepsPerMm": "100"', 'k8'),
    ));

  it.each([
    ['a longer window', '#define GUARD_BED_HOLD_WINDOW_S 40', '"guard.bed.holdWindow": "60 s"', 'error'],
    ['a shorter window', '#define GUARD_BED_HOLD_WINDOW_S 40', '"guard.bed.holdWindow": "20"', 'warning'],
    ['a guard that is off', '#define GUARD_BED_ENABLED 1', '"guard.bed.enabled": "0"', 'error'],
    ['a higher current', '#define AXIS_X_MOTOR_CURRENT_A 0.8f', '"axis.x.motorCurrent": "1.2 A"', 'error'],
    ['a lower current', '#define AXIS_X_MOTOR_CURRENT_A 0.8f', '"axis.x.motorCurrent": "800 mA"', undefined],
    ['another sensor', '#define BED_SENSOR_PULL_UP_OHM 4700', '"bed.sensor.pullUp": "2.2 kΩ"', 'error'],
    [
      'the same in another unit',
      '#define AXIS_X_MAX_SPEED_MM_PER_S 150',
      '"axis.x.maxSpeed": "0.15 m/s"',
      undefined,
    ],
    [
      'the same with fewer digits',
      '#define AXIS_X_STEPS_PER_MM 93.4579f',
      '"axis.x.stepsPerMm": "93.46"',
      undefined,
    ],
    ['just another', '#define AXIS_X_STEPS_PER_MM 93.4579f', '"axis.x.stepsPerMm": "93.51"', 'warning'],
  ])('%s', async (_, setting, stored, severity) => {
    const { findings, agreements } = await ask(rule, project(setting, stored));
    expect(findings[0]?.split(':')[0]).toBe(severity);
    if (severity === undefined) expect(agreements).toHaveLength(1);
  });

  it('agrees once the key is another', async () => {
    const { findings, agreements } = await ask(rule, project(STEPS, '"axis.x.stepsPerMm": "100"', 'k8'));
    expect(findings).toEqual([]);
    expect(agreements).toEqual([
      'The key differs from the last flashed k7: the stored values are thrown away',
    ]);
  });

  it('says nothing of machines that store nothing, or of settings it does not know', async () => {
    expect((await ask(rule, project(STEPS, '"axis.x.stepsPerMm": "100"', 'k7', '0'))).findings).toEqual([]);
    expect(
      (await ask(rule, project(STEPS, '"axis.q.stepsPerMm": "100", "axis.x.stepsPerMm": "many"'))).findings,
    ).toEqual([]);
  });

  it('asks for what the machine has stored', async () => {
    await expectQuestion(rule, project(STEPS, ''), 'firmware.stored');
  });

  it('tells what changed under one key, compared with the state before', async () => {
    const now = project('#define AXIS_X_STEPS_PER_MM 160', '');
    const before = `//- base/settings.h\n#define STORE_ENABLED 1\n#define STORE_KEY "k7"\n${STEPS}\n`;
    await expectFinding(
      rule,
      now + before,
      'info',
      'AXIS_X_STEPS_PER_MM changed since the state before, and STORE_KEY did not',
    );
    expect((await ask(rule, now + before.replace('k7', 'k6'))).findings).toEqual([]);
  });

  it.each([
    ['k7', 'k8'],
    ['wren-19', 'wren-20'],
    ['v09', 'v10'],
    ['first', 'first2'],
    ['9', '10'],
  ])('the key after %s is %s', (key, next) => expect(nextKey(key)).toBe(next));
});
