import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/sensing/loop-crossed';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Exact comparison of board and sheet; T∞ = 25 + (24²/1.9)/1.2 = 277.6 °C of heat-transfer handbooks.

interface Options {
  readonly toolHeater?: string;
  readonly toolSensor?: string;
  readonly bedHeater?: string;
  readonly bedSensor?: string;
  readonly bedLoss?: string;
  readonly wiring?: {
    readonly tool?: string;
    readonly bed?: string;
    readonly toolT?: string;
    readonly bedT?: string;
  };
}

const named = (key: string, value: string | undefined) => (value ? `, "${key}": "${value}"` : '');

const project = ({
  toolHeater = 'P8',
  toolSensor = 'P1',
  bedHeater = 'P9',
  bedSensor = 'P2',
  bedLoss = ', "heatLoss": "1.2 W/K"',
  wiring = {},
}: Options): string => {
  const { tool, bed, toolT, bedT } = { tool: 'H0', bed: 'HB', toolT: 'T0', bedT: 'TB', ...wiring };
  return `
//- settings.h
#define TOOL_0_HEATER_PIN ${toolHeater}
#define TOOL_0_SENSOR_PIN ${toolSensor}
#define BED_HEATER_PIN ${bedHeater}
#define BED_SENSOR_PIN ${bedSensor}
//- b.board.json
{
  "name": "B",
  "connectors": { "T0": { "kind": "sensor", "pin": "P1" }, "TB": { "kind": "sensor", "pin": "P2" }, "T2": { "kind": "sensor", "pin": "P3" } },
  "outputs": { "H0": { "pin": "P8" }, "HB": { "pin": "P9" }, "H2": { "pin": "P10" } }
}
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V" },
  "temperatureSensors": { "tool": { "zone": "tool.0"${named('connector', toolT)} }, "bed": { "zone": "bed"${named('connector', bedT)} } },
  "heaters": {
    "tool": { "zone": "tool.0"${named('output', tool)} },
    "bed": { "zone": "bed", "resistance": "1.9 Ω"${bedLoss}${named('output', bed)} }
  }
}`;
};

const crossed = { toolHeater: 'P9', bedHeater: 'P8' };

describe('worked example: the tool’s heater pin goes to the bed', () => {
  it('both loops are crossed; the bed heads for 278 °C', async () => {
    const { findings, analysis } = await ask(rule, project(crossed));
    expect(findings).toEqual([
      "error: The tool's controller would heat the bed and watch the tool. The bed would head for 278 °C.",
      "error: The bed's controller would heat the tool and watch the bed. The tool would stay at full power.",
    ]);
    expect(analysis.findings[0]?.caution).toContain('Unplug both heaters');
    expect(analysis.findings.map(({ concept }) => concept)).toEqual(['tool.0.heater.pin', 'bed.heater.pin']);
  });

  it('swaps both pins by one edit, or the plugs on the sheet', async () => {
    await checkFix(rule, project(crossed), project({}), 'Swap the heater pins of the tool and the bed');
    await checkFix(
      rule,
      project(crossed),
      project({ ...crossed, wiring: { tool: 'HB', bed: 'H0' } }),
      'correct the machine sheet',
    );
  });

  it('without heat data still tells', async () => {
    const { findings } = await ask(rule, project({ ...crossed, bedLoss: '' }));
    expect(findings[0]).toContain('The bed would stay at full power');
  });

  it('an estimated loss leaves it an error: the crossing is exact', async () => {
    const bedLoss = ', "heatLoss": { "value": "1.2 W/K", "quality": "estimated" }';
    const { findings } = await ask(rule, project({ ...crossed, bedLoss }));
    expect(findings[0]).toMatch(/^error: .*278 °C.*estimated/);
  });
});

describe('the sensors crossed', () => {
  it('is told at the sensor pins, and mended there', async () => {
    const sensors = { toolSensor: 'P2', bedSensor: 'P1' };
    const { findings, analysis } = await ask(rule, project(sensors));
    expect(findings).toEqual([
      "error: The tool's controller would heat the tool and watch the bed. The tool would stay at full power.",
      "error: The bed's controller would heat the bed and watch the tool. The bed would head for 278 °C.",
    ]);
    expect(analysis.findings[0]?.concept).toBe('tool.0.sensor.pin');
    await checkFix(rule, project(sensors), project({}), 'Swap the sensor pins');
  });

  it('one pin alone is set to its own socket', async () => {
    await expectFinding(rule, project({ toolSensor: 'P2', bedSensor: 'P3' }), 'error', 'watch the bed');
    await checkFix(
      rule,
      project({ toolSensor: 'P2', bedSensor: 'P3' }),
      project({ toolSensor: 'P1', bedSensor: 'P3' }),
    );
  });
});

describe('silence', () => {
  it('both loops closed, in any spelling of the pins', async () => {
    expect((await expectQuiet(rule, project({}))).agreements).toHaveLength(2);
    await expectQuiet(rule, project({ toolHeater: 'p8' }));
  });

  it('a loop that is whole at the wrong zone is no crossing', async () => {
    await expectQuiet(
      rule,
      project({ toolHeater: 'P9', toolSensor: 'P2', bedHeater: 'P8', bedSensor: 'P1' }),
    );
  });

  it.each([
    [
      'the heater’s output',
      { wiring: { bed: '' }, toolHeater: 'P9' },
      'Which output holds the heater of the bed',
    ],
    [
      'the sensor’s socket',
      { wiring: { bedT: '' }, toolSensor: 'P2' },
      'Which socket holds the sensor of the bed',
    ],
  ])('asks for %s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });

  it('about two heaters on one output, pins of no socket, and no board', async () => {
    await expectQuiet(rule, project({ wiring: { tool: 'HB' }, toolHeater: 'P9' }));
    await expectQuiet(rule, project({ toolHeater: 'P77' }));
    await expectQuiet(rule, project(crossed).replace(/\/\/- b\.board\.json[\s\S]*?\/\/- m\./, '//- m.'));
  });
});
