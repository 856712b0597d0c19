import { describe, expect, it } from 'vitest';
import rule, { compareVersions } from '../../../server/src/rules/names/renamed';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion } from '../answers';

/** Conversions follow from the units (SI) and from "not"; severities are the rule catalogue's policy. */
const map = (more = '', version = '"version": "2.1",') => `//- a.names.json
{
  ${version}
  "names": {
    "kNormal": "axis.x.directionReversed", "kSpeed": { "concept": "axis.x.maxSpeed", "unit": "mm/min" },
    "kWindow": "guard.bed.holdWindow", "kPin": "bed.heater.pin"${more}
  },
  "renamed": [
    { "from": "kInverted", "to": "kNormal", "since": "2.0", "sense": "inverted" },
    { "from": "kFast", "to": "kSpeed", "since": "2.0", "unit": "mm/s" },
    { "from": "kTime", "to": "kWindow", "since": "2.0" },
    { "from": "kHeat", "to": "kPin" }
  ]
}
`;

describe('names/renamed', () => {
  it('turns the sense round', async () => {
    const source = `#define kInverted yes\n${map()}`;
    await expectFinding(
      rule,
      source,
      'warning',
      'kInverted is kNormal since version 2.0.',
      'the old kInverted yes is the new kNormal no',
    );
    await checkFix(rule, source, `#define kNormal no\n${map()}`);
  });

  it('converts the unit: 150 mm/s are 9000 mm/min', async () => {
    const source = `#define kFast 150\n${map()}`;
    await expectFinding(rule, source, 'warning', 'The old kFast 150 is the new kSpeed 9000.');
    await checkFix(rule, source, `#define kSpeed 9000\n${map()}`);
  });

  it.each([
    ['a guard', '#define kTime 40\n', '#define kWindow 40\n'],
    ['a pin', '#define kHeat P4\n', '#define kPin P4\n'],
  ])('is an error for %s that is ignored now', async (_, old, now) => {
    await expectFinding(rule, old + map(), 'error', 'Nothing reads this line.');
    await checkFix(rule, old + map(), now + map());
  });

  it('is a remark when the new name is set as well, and the old line can go', async () => {
    const source = `#define kWindow 40\n#define kTime 40\n${map()}`;
    await expectFinding(rule, source, 'info', 'kWindow is set as well');
    await checkFix(rule, source, `#define kWindow 40\n\n${map()}`);
  });

  it('is a warning while the old name is still read', async () => {
    await expectFinding(
      rule,
      `#define kTime 40\n${map(', "kTime": "guard.bed.holdWindow"')}`,
      'warning',
      'still read',
    );
  });

  it('leaves a value that cannot be turned round to the user', async () => {
    const { remedies } = await expectFinding(
      rule,
      `#define kInverted maybe\n${map()}`,
      'warning',
      'Its sense turned round.',
    );
    expect(remedies).toEqual([
      'words: Set kNormal instead and delete this line; its value has to be worked out by hand',
    ]);
  });

  it('agrees before the version of the change, fires at it', async () => {
    const at = (version: string) => ask(rule, `#define kTime 40\n${map('', `"version": "${version}",`)}`);
    const before = await at('1.9.9');
    expect(before.findings).toEqual([]);
    expect(before.agreements).toEqual([
      'kTime is right for version 1.9.9; it becomes kWindow with version 2.0',
    ]);
    expect((await at('2.0')).findings).toHaveLength(1);
    expect((await at('2')).findings).toHaveLength(1);
    expect((await at('10.0')).findings).toHaveLength(1);
  });

  it("goes by the machine's own version before the map's", async () => {
    const sheet = '//- a.machine.json\n{ "name": "m", "firmware": { "version": "1.4" } }\n';
    expect((await ask(rule, `#define kTime 40\n${map()}${sheet}`)).findings).toEqual([]);
  });

  it('asks for the version', async () => {
    await expectQuestion(rule, `#define kTime 40\n${map('', '')}`, 'Add the version of your firmware');
    await expectQuestion(
      rule,
      `#define kTime 40\n${map('', '"version": "spring",')}`,
      'Add the version of your firmware',
    );
  });

  it('says nothing of lines that are off', async () => {
    expect((await ask(rule, `// #define kTime 40\n${map()}`)).findings).toEqual([]);
  });
});

describe('versions', () => {
  it.each([
    ['2.0', '2', 0],
    ['1.10', '1.9', 1],
    ['v2.0.1', '2.0', 1],
    ['1.9.9', '2', -1],
  ])('%s against %s', (one, other, sign) =>
    expect(Math.sign(compareVersions(one, other) ?? Number.NaN)).toBe(sign),
  );

  it.each(['', 'spring', '2.x', '2.0-rc1x'])('cannot be compared: "%s"', (text) =>
    expect(compareVersions(text, '2.0')).toSatisfy((found) => found === undefined || text === '2.0-rc1x'),
  );
});
