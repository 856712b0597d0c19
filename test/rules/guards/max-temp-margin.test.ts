import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/guards/max-temp-margin';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { estimated, project } from './kit';

// Limits: 240 °C of a loaded PTFE liner and 10 K of margin are common practice.

const settings = (target?: number, cutOff?: number) =>
  [
    target === undefined ? '' : `#define TOOL_0_MAX_TEMPERATURE_CELSIUS ${target}`,
    cutOff === undefined ? '' : `#define GUARD_TOOL_0_MAX_READING_CELSIUS ${cutOff}`,
  ].join('\n');
const LINER = { limits: { liner: '240 °C' }, safeMax: '300 °C' };
const tool = (
  target?: number,
  cutOff?: number,
  heater: Record<string, unknown> = LINER,
  sheet: Record<string, unknown> = {},
) => project({ zone: 'tool.0', settings: settings(target, cutOff), heater, sheet });

describe('worked example: a liner of 240 °C', () => {
  it('targets to 230 °C, cut-off 290 °C: 50 K above', async () => {
    const { analysis } = await expectFinding(
      rule,
      tool(230, 290),
      'warning',
      'cut-off of the tool is at 290 °C; its weakest part (liner) stands 240 °C',
      '50 K beyond',
    );
    expect(analysis.findings[0]?.caution).toContain('birds');
  });

  it('targets to 275 °C: an error', async () => {
    await expectFinding(
      rule,
      tool(275, 290),
      'error',
      'may ask for 275 °C; the liner of the tool stands 240 °C',
      'cut-off at 290 °C',
    );
  });

  it('one edit sets both: cut-off 240 °C, targets to 230 °C', async () => {
    await checkFix(rule, tool(230, 290), tool(230, 240));
    await checkFix(rule, tool(275, 290), tool(230, 240));
    const { analysis } = await ask(rule, tool(275, 290));
    expect(analysis.findings[0]?.remedies[0]?.edits).toHaveLength(2);
  });
});

describe('limits', () => {
  it.each([
    [230, 240, undefined],
    [230, 241, 'warning'],
    [231, 240, 'warning'],
    [229, 239, undefined],
    [240, 240, 'warning'],
    [241, 251, 'error'],
    [200, undefined, undefined],
    [250, undefined, 'error'],
    [undefined, 250, 'warning'],
    [undefined, 240, undefined],
  ])('targets to %s, cut-off %s: %s', async (target, cutOff, severity) => {
    const { findings } = await ask(rule, tool(target, cutOff));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('says how the cut-off lies to the target', async () => {
    const free = { safeMax: '300 °C' };
    await expectFinding(rule, tool(250, 255, free), 'warning', 'only 5 K above', 'a little overshoot stops');
    await expectFinding(rule, tool(250, 245, free), 'warning', '5 K below', 'reaching it stops');
  });

  it('the weakest part counts, the sensor among them', async () => {
    const sheet = { temperatureSensors: { t: { zone: 'tool.0', safeMax: '200 °C' } } };
    await expectFinding(rule, tool(230, 240, LINER, sheet), 'error', 'the sensor of the tool stands 200 °C');
  });

  it.each(['464 °F', '513.15 K'])('the same for a limit of %s', async (limit) => {
    await expectFinding(rule, tool(230, 290, { limits: { liner: limit } }), 'warning', '50 K beyond');
  });

  it('a limit that straddles: one step lower, and "may"', async () => {
    await expectFinding(
      rule,
      tool(250, 260, { limits: { liner: '240..260 °C' } }),
      'warning',
      'may lie above',
    );
    await expectFinding(rule, tool(230, 250, { limits: { liner: '240..260 °C' } }), 'info', 'may take');
  });

  it('an estimated limit that fails for certain stays an error, and says so', async () => {
    await expectFinding(
      rule,
      tool(275, 290, { limits: { liner: estimated('240 °C') } }),
      'error',
      'estimated',
    );
  });
});

describe('remedies only go down, and not below the job', () => {
  const job = { job: { toolTemperature: '235 °C' } };

  it('in words when the usual job needs more', async () => {
    const { remedies } = await expectFinding(rule, tool(275, 290, LINER, job), 'error');
    expect(remedies).toEqual([
      'words: The usual job needs 235 °C: fit a part that stands more, or work below 230 °C',
    ]);
  });

  it('too little margin: targets go down by edit, the cut-off up in words', async () => {
    const free = { safeMax: '300 °C' };
    await checkFix(rule, tool(250, 255, free), tool(245, 255, free));
    const { remedies } = await ask(rule, tool(250, 255, free));
    expect(remedies[1]).toMatch(/^words: Raise the cut-off by hand/);
    const used = await ask(rule, tool(250, 255, free, { job: { toolTemperature: '250 °C' } }));
    expect(used.remedies.every((one) => one.startsWith('words: '))).toBe(true);
  });

  it('never raises a value', async () => {
    for (const [target, cutOff] of [
      [275, 290],
      [230, 290],
      [275, 250],
      [250, 255],
      [260, 230],
    ] as const) {
      const { analysis } = await ask(rule, tool(target, cutOff));
      const texts = analysis.findings.flatMap(({ remedies }) => remedies.flatMap(({ edits }) => edits));
      for (const { newText } of texts) expect(Number(newText)).toBeLessThan(Math.max(target, cutOff));
    }
  });
});

describe('silence', () => {
  it('asks for a limit, and still compares cut-off and target', async () => {
    await expectQuestion(rule, tool(230, 260, {}), 'plastic liner');
    await expectFinding(rule, tool(260, 265, {}), 'warning', 'only 5 K above');
    const bed = project({ settings: '#define BED_MAX_TEMPERATURE_CELSIUS 90', heater: {} });
    await expectQuestion(rule, bed, 'magnet, glue');
  });

  it('about zones without a heater and values that only the build knows', async () => {
    await expectQuiet(rule, settings(275, 290));
    await expectQuiet(rule, tool().replace('//- m.', `#if MAYBE\n${settings(275, 290)}\n#endif\n//- m.`));
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, tool(275, 290, { limits: { liner: '240 W' } }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});
