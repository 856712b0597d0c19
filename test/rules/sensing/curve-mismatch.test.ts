import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/sensing/curve-mismatch';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { curveProject } from './kit';

const ntc = (beta: string, r25 = '100 kΩ') => `"kind": "ntc", "r25": "${r25}", "beta": "${beta}"`;

describe('worked example: β 3950 fitted, curve β 4267', () => {
  it('a displayed 200 °C is 223.4 °C, a true 200 °C shows 180.2 °C', async () => {
    const { analysis } = await expectFinding(
      rule,
      curveProject({ settings: 'ntc_100k_4267', sensor: '"curve": "ntc-100k-3950"' }),
      'error',
      'the display shows 200 °C when',
      'is at 223 °C',
      'it shows 180 °C',
    );
    expect(analysis.findings[0]?.caution).toContain('Do not heat');
  });

  it('the other way round it stays too cold: a warning', async () => {
    const project = curveProject({ settings: 'ntc_100k_3950', sensor: '"curve": "ntc-100k-4267"' });
    await expectFinding(rule, project, 'warning', 'it shows 223 °C');
  });

  it('with the true curve it agrees', async () => {
    const project = curveProject({ settings: 'ntc_100k_3950', sensor: '"curve": "ntc-100k-3950"' });
    const { agreements } = await expectQuiet(rule, project);
    expect(agreements).toHaveLength(1);
  });
});

/**
 * True temperature at a displayed 200 °C by the two-point equation, worked out beside the code: T = 1/(1/298.15 + β'/β·(1/473.15 −
 * 1/298.15)). Tolerance of β ±1 %: 2.78 K. Limits 5 K and 10 K beyond it (common practice): 207.78 and 212.78 °C.
 */
describe('limits, for a curve of β 3950', () => {
  it.each([
    // 1/T = 0.0033540 − 3950/β · 0.0012405
    { beta: '3974 K', shown: 198.3, severity: undefined },
    { beta: '3848 K', shown: 207.5, severity: undefined },
    { beta: '3840 K', shown: 208.1, severity: 'warning' },
    { beta: '3783 K', shown: 212.5, severity: 'warning' },
    { beta: '3775 K', shown: 213.1, severity: 'error' },
    { beta: '4057 K', shown: 192.8, severity: undefined },
    { beta: '4070 K', shown: 191.9, severity: 'warning' },
    { beta: '4267 K', shown: 180.2, severity: 'warning' },
  ])('$beta fitted: $shown °C, $severity', async ({ beta, shown, severity }) => {
    const fitted = Number.parseFloat(beta);
    const truth = 1 / (1 / 298.15 + (3950 / fitted) * (1 / 473.15 - 1 / 298.15)) - 273.15;
    expect(truth).toBeCloseTo(shown, 0);
    const { findings } = await ask(rule, curveProject({ settings: 'ntc_100k_3950', sensor: ntc(beta) }));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });
});

describe('facts', () => {
  it.each(['100 kΩ', '0.1 MΩ', '100000 Ω', '100e3 ohm'])('the same with R25 as %s', async (r25) => {
    await expectFinding(
      rule,
      curveProject({ settings: 'ntc_100k_4267', sensor: ntc('3950 K', r25) }),
      'error',
      '223 °C',
    );
  });

  it.each(['200 °C', '392 °F', '473.15 K'])('the same with the working temperature as %s', async (job) => {
    const project = curveProject({ settings: 'ntc_100k_4267', sensor: ntc('3950 K'), job });
    await expectFinding(rule, project, 'error', '223 °C');
  });

  it('a range of working temperatures: at every end, or at one only', async () => {
    // The two curves differ by 3.2 K at 60 °C, by 21.5 K at 190 °C and by 23.4 K at 200 °C (β equation, computed apart).
    const project = (job: string) => curveProject({ settings: 'ntc_100k_4267', sensor: ntc('3950 K'), job });
    await expectFinding(rule, project('190..200 °C'), 'error', 'is at 223 °C');
    await expectFinding(rule, project('60..200 °C'), 'warning', 'may be at 223 °C');
  });

  it('a table of the maker against a β gets 5 K more', async () => {
    // By the points of β 3800 the truth is 211.2 °C, inside 2.8 + 5 + 5 K; by those of β 3700 it is 219.5 °C, outside 2.8 + 5 + 10 K.
    const table = (beta: number) => {
      const points = [0, 25, 50, 100, 150, 200, 250].map((celsius) => {
        const ohms = 1e5 * Math.exp(beta * (1 / (celsius + 273.15) - 1 / 298.15));
        return `{ "temperature": "${celsius} °C", "resistance": "${ohms.toFixed(3)} Ω" }`;
      });
      return `"kind": "ntc", "table": [${points.join(', ')}]`;
    };
    await expectQuiet(rule, curveProject({ settings: 'ntc_100k_3950', sensor: table(3800) }));
    await expectFinding(
      rule,
      curveProject({ settings: 'ntc_100k_3950', sensor: table(3700) }),
      'error',
      'by its own table is at 220 °C',
    );
  });

  it('without the fitted sensor: silent, with the question', async () => {
    await expectQuestion(
      rule,
      curveProject({ settings: 'ntc_100k_4267' }),
      '"temperatureSensors", zone "tool.0"',
    );
  });

  it('asks which curve a name stands for that no shipped curve has', async () => {
    const project = curveProject({ settings: 'house_curve_7', sensor: '"curve": "ntc-100k-3950"' });
    await expectQuestion(rule, project, 'which curve house_curve_7 is');
  });

  it('without a curve in the settings: silent', async () => {
    await expectQuiet(rule, '//- settings.h\n#define TOOL_COUNT 1\n//- m.machine.json\n{ "name": "M" }');
  });

  it('behind an amplifier: silent', async () => {
    const sensor = '"curve": "ntc-100k-3950", "amplifier": { "kind": "analog" }';
    await expectQuiet(rule, curveProject({ settings: 'ntc_100k_4267', sensor }));
  });

  it('in a branch that only the build decides: silent', async () => {
    const project = curveProject({ settings: 'ntc_100k_4267', sensor: ntc('3950 K') });
    const undecided = project
      .replace('#define TOOL_0', '#if HOT_TOOL\n#define TOOL_0')
      .replace('\n//- m.', '\n#endif\n//- m.')
      .concat(
        '\n//- fettle.json\n{ "settings": ["settings.h"], "machine": "m.machine.json", "undecided": ["HOT_TOOL"] }',
      );
    await expectQuiet(rule, undecided);
  });
});

// IEC 60751: platinum's resistance rises with temperature; an NTC's falls (IEC 60539-1).
describe('the law of another kind of sensor', () => {
  it.each([
    ['ntc_100k_3950', '"curve": "pt1000"'],
    ['ntc_100k_3950', '"curve": "pt100"'],
    ['pt1000', '"curve": "ntc-100k-3950"'],
  ])('%s with %s: hotter looks colder', async (settings, sensor) => {
    await expectFinding(rule, curveProject({ settings, sensor }), 'error', 'the colder the display shows it');
  });
});

it.each([
  ['ntc_100k_4267', 'ntc_100k_3950'],
  ['"ntc-100k-4267"', '"ntc-100k-3950"'],
])('the fix sets the fitted curve in place of %s', async (before, after) => {
  const sensor = '"curve": "ntc-100k-3950"';
  await checkFix(rule, curveProject({ settings: before, sensor }), curveProject({ settings: after, sensor }));
});

describe('platinum of another resistance', () => {
  // IEC 60751: 175.86 Ω at 200 °C for 100 Ω at 0 °C. A 1 kΩ sensor has 1758.6 Ω there, which one of 100 Ω has at no temperature.
  it('a Pt100 read as Pt1000 looks ice cold: the display never gets there', () =>
    expectFinding(
      rule,
      curveProject({ settings: 'pt1000', sensor: '"curve": "pt100"' }),
      'error',
      'never gets to 200 °C',
      'past their limit unseen',
    ));
  it('a Pt1000 read as Pt100 looks far too hot', () =>
    expectFinding(
      rule,
      curveProject({ settings: 'pt100', sensor: '"curve": "pt1000"' }),
      'warning',
      'stays colder than it says',
    ));
});
