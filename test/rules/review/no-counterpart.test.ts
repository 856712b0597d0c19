import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/review/no-counterpart';
import { ask, expectFinding, expectQuiet } from '../answers';

/**
 * By hand: 40 W at 24 V are 48.4 W at +10 %; T∞ = 25 + 484 = 509 °C, τ = 140 s; τs·ln(185/177) = 0.44 s. After 60.44 s from 210 °C
 * 509 − 299·e^(−60.44/140) = 314.8 °C, after 40.44 s 285.0 °C (heat balance: heat-transfer handbooks).
 */
const sheet = (fixed: string, limit = '300 °C', folder = '') => `//- ${folder}a.machine.json
{
  "name": "m", "supply": { "voltage": "24 V" },
  "heaters": { "t": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "${limit}" } }${fixed === '' ? '' : `,\n  "firmware": { "fixed": { ${fixed} } }`}
}
`;
const target = '#define TOOL_0_MAX_TEMPERATURE_CELSIUS 210\n#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8\n';
const port = (now: string, before: string, files = '', baseFiles = '') =>
  `${target}${now}\n${files}//- base/settings.h\n${target}${before}\n${baseFiles}`;
const window = '#define GUARD_TOOL_0_HOLD_WINDOW_S 40';
const fixed = (value: string, limit?: string) =>
  port('', window, sheet(`"guard.tool.0.holdWindow": "${value}"`, limit), sheet('', limit, 'base/'));
const map = (names: string, more = '') => `a.names.json\n{ ${more} "names": { ${names} } }\n`;

describe('what the new firmware fixes', () => {
  it("computes the catalogue's example: 315 °C at trip", async () => {
    const { remedies } = await expectFinding(
      rule,
      fixed('60 s'),
      'error',
      'your 40 s has no place in the new firmware; it uses a fixed 60 s. Computed: 315 °C at trip, limit 300 °C.',
    );
    expect(remedies.every((one) => one.startsWith('words: '))).toBe(true);
  });

  it.each([
    ['60', 'error'],
    ['1 min', 'error'],
    ['45 s', undefined],
    ['40 s', undefined],
    ['20 s', undefined],
  ])('%s', async (value, severity) => {
    const { findings } = await ask(rule, fixed(value));
    expect(findings[0]?.split(':')[0]).toBe(
      severity === undefined && value === '45 s' ? 'warning' : severity,
    );
  });

  it('is a warning when the part survives it, an error when nobody can compute it', async () => {
    await expectFinding(rule, fixed('60 s', '400 °C'), 'warning', 'limit 400 °C');
    const unknown = fixed('60 s').replaceAll('"heatCapacity": "14 J/K", ', '');
    await expectFinding(rule, unknown, 'error', 'it uses a fixed 60 s.');
  });

  it('tells of what is no guard too', async () => {
    const depth = port(
      '',
      '#define MOTION_PLANNER_DEPTH 32',
      sheet('"motion.plannerDepth": "16"'),
      sheet('', undefined, 'base/'),
    );
    await expectFinding(
      rule,
      depth,
      'warning',
      'your 32 has no place in the new firmware; it uses a fixed 16',
    );
  });
});

describe('what the new name map does not have', () => {
  const own = '"T": "tool.0.maxTemperature", "B": "guard.tool.0.holdBand"';

  it('is an error for guards, one warning for all others', async () => {
    const now = `//- ${map(own, '"complete": true,')}`;
    const before = `${window}\n#define MOTION_PLANNER_DEPTH 32\n#define AXIS_X_MICROSTEPS 16\n#define BUILD_CLOCK_HZ 8000000`;
    const { findings } = await ask(rule, port('', before, now, '//- base/old.names.json\n{ "names": {} }\n'));
    expect(findings).toHaveLength(2);
    expect(findings.join('\n')).toMatch(
      /error: .*your 40 s has no place in the new firmware, and nobody knows what it does instead/,
    );
    expect(findings.join('\n')).toMatch(
      /warning: What was set before has no place in the new firmware: .*\(32\) and .*\(16\)\./,
    );
  });

  it('is a remark where the map leaves room for more; guards are told by another rule', async () => {
    const before = `${window}\n#define MOTION_PLANNER_DEPTH 32`;
    const { findings } = await ask(rule, port('', before, `//- ${map(own)}`));
    expect(findings).toEqual([
      expect.stringMatching(
        /^info: Set in the state before and not here: [^,]*\(32\)\. A name map with the defaults/,
      ),
    ]);
  });

  it('goes by the default that the map states', async () => {
    const withDefault = (value: string) =>
      `//- ${map(`${own}, "W": { "concept": "guard.tool.0.holdWindow", "default": "${value}" }`)}`;
    await expectFinding(
      rule,
      port('', window, withDefault('60')),
      'error',
      'was not carried over; the new firmware goes by its default of 60 s',
    );
    await expectQuiet(rule, port('', window, withDefault('40 s')));
    await expectQuiet(rule, port('', window, withDefault('30')));
  });

  it('compares the defaults of what is set nowhere', async () => {
    const withDefault = (file: string, value: string) =>
      `//- ${file}.names.json\n{ "names": { "D": { "concept": "motion.plannerDepth", "default": "${value}" } } }\n`;
    await expectFinding(
      rule,
      port('', '', withDefault('a', '16'), withDefault('base/b', '32')),
      'warning',
      'the default of this firmware is 16 where that of the state before was 32',
    );
    await expectQuiet(rule, port('', '', withDefault('a', '32'), withDefault('base/b', '32')));
    await expectQuiet(
      rule,
      port('#define MOTION_PLANNER_DEPTH 16', '', withDefault('a', '16'), withDefault('base/b', '32')),
    );
  });
});

describe('silence', () => {
  it('leaves a line that went from the same project to its author', async () => {
    await expectQuiet(rule, port('', '#define MOTION_PLANNER_DEPTH 32'));
  });

  it('says nothing without a base', async () => {
    await expectQuiet(rule, target + sheet('"guard.tool.0.holdWindow": "60 s"'));
  });
});
