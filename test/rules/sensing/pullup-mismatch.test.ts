import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/sensing/pullup-mismatch';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { pullUpProject } from './kit';

describe('worked example: 2.2 kΩ fitted, 4.7 kΩ set, β 3950', () => {
  it('a displayed 200 °C is 247.3 °C, a true 200 °C shows 160.6 °C', async () => {
    const { analysis, questions } = await expectFinding(
      rule,
      pullUpProject({ settings: '4700', fitted: '"2.2 kΩ"' }),
      'error',
      'is 4.7 kΩ; this board has 2.2 kΩ',
      'the block is at 247 °C',
      'the display shows 161 °C',
    );
    expect(analysis.findings[0]?.caution).toContain('Do not heat');
    expect(questions).toEqual([]);
  });

  it('the other way round it stays too cold: a warning', async () => {
    await expectFinding(rule, pullUpProject({ settings: '2200', fitted: '"4.7 kΩ"' }), 'warning', '161 °C');
  });

  it('the right value agrees', async () => {
    expect(
      (await expectQuiet(rule, pullUpProject({ settings: '2200', fitted: '"2.2 kΩ"' }))).agreements,
    ).toHaveLength(1);
  });
});

/**
 * At a displayed 200 °C, R = 745 Ω by β 3950; the true resistance is R · fitted/set. 5 K and 10 K (common practice) are at
 * exp(3950·(1/478.15 − 1/473.15)) = 0.9164 and exp(3950·(1/483.15 − 1/473.15)) = 0.8413; −5 K at 1.0930.
 */
describe('limits, for 4700 Ω fitted', () => {
  it.each([
    [4700 / 0.9174, undefined],
    [4700 / 0.9154, 'warning'],
    [4700 / 0.8423, 'warning'],
    [4700 / 0.8403, 'error'],
    [4700 / 1.092, undefined],
    [4700 / 1.094, 'warning'],
    [4700 / 1.3, 'warning'],
  ])('%f Ω set: %s', async (ohms, severity) => {
    const { findings } = await ask(rule, pullUpProject({ settings: ohms.toFixed(2), fitted: '"4.7 kΩ"' }));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });
});

describe('facts', () => {
  it.each(['"2.2 kΩ"', '"2200 Ω"', '"2.2 kohm"', '"0.0022 MΩ"'])(
    'the same with the resistor as %s',
    async (fitted) => {
      await expectFinding(rule, pullUpProject({ settings: '4700', fitted }), 'error', '247 °C');
    },
  );

  it('a resistor whose range fails at one end only: one step lower, and "may"', async () => {
    // 0.8413 · 4700 = 3954 Ω is 10 K, 0.9164 · 4700 = 4307 Ω is 5 K.
    await expectFinding(
      rule,
      pullUpProject({ settings: '4700', fitted: '"3.9..4.2 kΩ"' }),
      'warning',
      'is at',
    );
    await expectFinding(
      rule,
      pullUpProject({ settings: '4700', fitted: '"4.2..4.5 kΩ"' }),
      'info',
      'may be at',
    );
    await expectFinding(
      rule,
      pullUpProject({ settings: '4700', fitted: '"3.8..4.5 kΩ"' }),
      'warning',
      'may be at',
    );
    await expectQuiet(rule, pullUpProject({ settings: '4700', fitted: '"4.7 kΩ ±5 %"' }));
    // Right by its nominal value, ±10 % off at both ends: 1/T = 1/473.15 ± ln(1.1)/3950, at most 5.5 K. No more than "may".
    await expectFinding(
      rule,
      pullUpProject({ settings: '4700', fitted: '"4.7 kΩ ±10 %"' }),
      'info',
      'may be at',
    );
  });

  it('without the resistor on the board: silent, with the question', async () => {
    await expectQuestion(rule, pullUpProject({ settings: '4700' }), '472 = 4.7 kΩ');
  });

  it('without any curve: silent, with the question', async () => {
    const project = pullUpProject({ settings: '4700', fitted: '"2.2 kΩ"' }).replace(
      /, "temperatureSensors".*/,
      ' }',
    );
    await expectQuestion(rule, project, '"temperatureSensors", zone "tool.0"');
  });

  it("takes the settings' curve when the sheet names no sensor", async () => {
    const project = pullUpProject({
      settings: '4700',
      fitted: '"2.2 kΩ"',
      before: '#define TOOL_0_SENSOR_CURVE ntc_100k_3950',
    }).replace(/, "temperatureSensors".*/, ' }');
    await expectFinding(rule, project, 'error', '247 °C');
  });

  it('behind an amplifier: silent', async () => {
    const sensor = '"curve": "ntc-100k-3950", "amplifier": { "kind": "digital" }';
    await expectQuiet(rule, pullUpProject({ settings: '4700', fitted: '"2.2 kΩ"', sensor }));
  });

  it('in a branch that only the build decides: silent', async () => {
    const project = pullUpProject({
      settings: '4700',
      fitted: '"2.2 kΩ"',
      before: '#if NEW_BOARD',
      after: '#endif',
    }).concat(
      '\n//- fettle.json\n{ "settings": ["settings.h"], "board": "b.board.json", "machine": "m.machine.json", "undecided": ["NEW_BOARD"] }',
    );
    await expectQuiet(rule, project);
  });
});

it("the fix sets the board's resistor", async () => {
  await checkFix(
    rule,
    pullUpProject({ settings: '4700', fitted: '"2.2 kΩ"' }),
    pullUpProject({ settings: '2200', fitted: '"2.2 kΩ"' }),
  );
});

it('a range of working temperatures is told at its worse end', async () => {
  // 4.7 kΩ for 2.2 kΩ: 47.3 K off at 200 °C, 45.3 K at 190 °C (equation of the rule).
  await expectFinding(
    rule,
    pullUpProject({ settings: '4700', fitted: '"2.2 kΩ"', job: '190..200 °C' }),
    'error',
    'is at 247 °C',
  );
});

it('a platinum sensor that cannot show the working temperature at all', async () => {
  // IEC 60751: 1758.6 Ω at 200 °C; 4.7 times that, 8265 Ω, lies above the top of its parabola (7612 Ω).
  const project = pullUpProject({ settings: '1000', fitted: '"4.7 kΩ"', sensor: '"curve": "pt1000"' });
  await expectFinding(rule, project, 'error', 'The display never gets to 200 °C');
});
