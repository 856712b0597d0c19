import { readFileSync } from 'node:fs';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { analyseProject } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import type { Host } from '../../server/src/project/host';
import type { Finding } from '../../server/src/rules/rule';
import { expectations } from '../editor/expect';

/**
 * The sample machine three times: sound on its old board, half ported with planted faults, and with the port finished. The planted
 * faults were derived from the sheet, the board and the settings by hand; each line of the table says how.
 */

const root = new URL('../../client/sample/', import.meta.url);

const host: Host = {
  read: async (uri) => {
    try {
      return readFileSync(fileURLToPath(uri), 'utf8');
    } catch {
      return undefined;
    }
  },
};

const analyses = new Map<string, Promise<Analysis>>();

function analyse(name: string): Promise<Analysis> {
  const project = pathToFileURL(fileURLToPath(new URL(`${name}/fettle.json`, root))).toString();
  const analysis = analyses.get(name) ?? analyseProject(project, host);
  analyses.set(name, analysis);
  return analysis;
}

interface Planted {
  readonly rule: string;
  readonly severity: Finding['severity'];
  readonly line: string;
  /** Part of the message: the number worked out by hand. */
  readonly says: string;
}

const PLANTED: readonly Planted[] = [
  // buildTargets of the new board: fjell32-f103; its otherTargets name the old board's as an AVR8 one.
  {
    rule: 'build/target-mismatch',
    severity: 'error',
    line: 'settings.h: #define BUILD_TARGET "tarn8-m1284"',
    says: 'fjell32-f103',
  },
  // uarts: port 0 is AUX, port 1 is USB; the sheet's host link is in USB.
  {
    rule: 'link/port-not-routed',
    severity: 'error',
    line: 'settings.h: #define LINK_HOST_PORT 0',
    says: 'port 1',
  },
  // R(215 °C) = 576 Ω by β 3950; · 2.2/4.7 = 270 Ω is 265.5 °C.
  {
    rule: 'sensing/pullup-mismatch',
    severity: 'error',
    line: 'heat.h: #define TOOL_0_SENSOR_PULL_UP_OHM 4700',
    says: '266 °C',
  },
  // R(60 °C) = 24.86 kΩ by β 3950; · 2.2/4.7 = 11.64 kΩ is 82.8 °C.
  {
    rule: 'sensing/pullup-mismatch',
    severity: 'error',
    line: 'heat.h: #define BED_SENSOR_PULL_UP_OHM 4700',
    says: '82.8 °C',
  },
  // One tool; the lines for a second one wait for it.
  {
    rule: 'names/dead-branch',
    severity: 'hint',
    line: 'heat.h: #define TOOL_1_HEATER_ACTIVE_LEVEL HIGH',
    says: 'their branch needs TOOL_COUNT > 1, and TOOL_COUNT is 1',
  },
  {
    rule: 'names/redefined',
    severity: 'error',
    line: 'heat.h: #define BED_MAX_TEMPERATURE_CELSIUS 100',
    says: '100 °C on line',
  },
  {
    rule: 'names/unknown-setting',
    severity: 'error',
    line: 'heat.h: #define GUARD_TOOL_0_HOLD_WINDOS_S 30',
    says: 'GUARD_TOOL_0_HOLD_WINDOW_S',
  },
  // 23 °C ambient + 220 W / 1.3 W/K.
  {
    rule: 'guards/disabled',
    severity: 'error',
    line: 'heat.h: #define GUARD_BED_HOLD_ENABLED 0 // on again after the first heat-up',
    says: '192 °C',
  },
  // 23 °C ambient + 40 W / 0.1 W/K; the block survives 300 °C. The bed has a thermal link.
  {
    rule: 'guards/no-independent-cutout',
    severity: 'info',
    line: 'pins.h: #define TOOL_0_HEATER_PIN PA8',
    says: '423 °C',
  },
  // 200 · 32 / (20 · 2 mm) = 160; the macro still has 16 microsteps: 80.
  {
    rule: 'motion/steps-mismatch',
    severity: 'error',
    line: 'motion.h: #define AXIS_X_STEPS_PER_MM BELT_STEPS',
    says: '160 steps per mm; the setting says 80',
  },
  {
    rule: 'motion/steps-mismatch',
    severity: 'error',
    line: 'motion.h: #define AXIS_Y_STEPS_PER_MM BELT_STEPS',
    says: '160 steps per mm; the setting says 80',
  },
  // The old board's DRV8825 are on while low (data sheet SLVSA73, pin functions), the new one's STSPIN820 while high (DocID031065).
  ...['X', 'Y', 'Z', 'E0'].map(
    (axis): Planted => ({
      rule: 'drivers/enable-level',
      severity: 'error',
      line: `motion.h: #define AXIS_${axis}_ENABLE_ACTIVE_LEVEL LOW`,
      says: 'lets go of the motor when the pin is low',
    }),
  ),
  // The old board had no resistors at its sockets; the new one pulls S1 to S3 up with 10 kΩ.
  ...['X', 'Y', 'Z'].map(
    (axis): Planted => ({
      rule: 'inputs/pull-without-effect',
      severity: 'info',
      line: `motion.h: #define ENDSTOP_${axis}_LOW_PULL UP`,
      says: '10 kΩ pull-up',
    }),
  ),
  // The sheet has an NC contact to 0 V in S2: low at rest.
  {
    rule: 'inputs/polarity-inverted',
    severity: 'error',
    line: 'motion.h: #define ENDSTOP_Y_LOW_ACTIVE_LEVEL LOW',
    says: 'low at rest and high when pressed',
  },
  // NO to 0 V with a pull-up: an open input reads high, as a free switch does. Z, which would fall onto the bed, is NC.
  {
    rule: 'inputs/broken-wire',
    severity: 'info',
    line: 'motion.h: #define ENDSTOP_X_LOW_ACTIVE_LEVEL LOW',
    says: 'takes the end for free',
  },
  {
    rule: 'inputs/broken-wire',
    severity: 'info',
    line: 'motion.h: #define PROBE_ACTIVE_LEVEL LOW',
    says: 'takes the probe for free',
  },
  // The F103 of this size has PD0 to PD2 only; ME has PD2.
  {
    rule: 'pins/not-on-board',
    severity: 'error',
    line: 'pins.h: #define AXIS_E0_ENABLE_PIN PD6',
    says: 'PD6 does not exist',
  },
  // 1.3 V + 10 Ω of the output, then 1 kΩ against an inner pull-up of 30–50 kΩ: 1.302 + 1.998/51…31 = 1.341…1.366 V.
  // Data sheet of the STM32F103: VIL 0.35 · 3.3 V = 1.155 V, VIH 0.65 · 3.3 V = 2.145 V.
  {
    rule: 'inputs/level-undefined',
    severity: 'error',
    line: 'pins.h: #define PROBE_PIN PB8',
    says: '1.34–1.37 V',
  },
  // 220 W / 24 V = 9.17 A; the output is made for 8 A.
  {
    rule: 'heating/output-overload',
    severity: 'error',
    line: 'pins.h: #define BED_HEATER_PIN PB9',
    says: '9.17 A',
  },
  {
    rule: 'pins/wiring-disagrees',
    severity: 'error',
    line: 'pins.h: #define FAN_PART_PIN PB1',
    says: 'OUT-F0',
  },
  {
    rule: 'pins/wiring-disagrees',
    severity: 'error',
    line: 'pins.h: #define FAN_TOOL_0_PIN PB0',
    says: 'OUT-F1',
  },
  // The board has card detect at PC3.
  {
    rule: 'pins/double-use',
    severity: 'error',
    line: 'pins.h: #define CARD_DETECT_PIN PB8',
    says: 'the probe',
  },
];

function lineOf(analysis: Analysis, { place }: Finding): string {
  const text = analysis.texts.get(place.uri)!;
  const start = text.lastIndexOf('\n', place.start - 1) + 1;
  const end = text.indexOf('\n', start);
  return `${place.uri.slice(analysis.files.root.length)}: ${text.slice(start, end < 0 ? undefined : end).trim()}`;
}

const keyOf = (one: { rule: string; severity: string; line: string }): string =>
  `${one.rule} ${one.severity} ${one.line}`;

const loud = ({ findings }: Analysis): string[] =>
  findings
    .filter(({ severity }) => severity === 'error' || severity === 'warning')
    .map((finding) => `${finding.rule}: ${finding.message}`);

describe.each(['old-board', 'half-ported', 'finished'])('the sample %s', (name) => {
  let analysis: Analysis;
  beforeAll(async () => {
    analysis = await analyse(name);
  });

  it('has at least 150 settings over at least three headers, some under conditions', () => {
    const settings = analysis.machine.settings.all;
    expect(settings.length).toBeGreaterThanOrEqual(150);
    expect(new Set(settings.map(({ entry }) => entry.place.uri)).size).toBeGreaterThanOrEqual(3);
    expect(settings.some(({ entry }) => entry.state === 'inactive')).toBe(true);
    expect(settings.some(({ entry }) => entry.state === 'active' && entry.condition)).toBe(true);
  });

  it('is read whole: nothing undecided, every file found', () => {
    expect(analysis.machine.text.entries.filter(({ state }) => state === 'undecided')).toEqual([]);
    expect([...analysis.dependsOn].filter((uri) => !analysis.texts.has(uri))).toEqual([]);
    expect(analysis.machineName).toBe('Wren');
  });

  it('gives findings whose ranges lie in their file and whose edits are exact', () => {
    for (const finding of analysis.findings) {
      const places = [finding.place, ...finding.causes.map(({ place }) => place)];
      for (const place of places) {
        const text = analysis.texts.get(place.uri);
        expect(text).toBeDefined();
        expect(place.end).toBeLessThanOrEqual(text!.length);
        expect(place.start).toBeLessThan(place.end);
      }
    }
  });
});

describe('the half-ported sample', () => {
  it('has exactly the planted findings', async () => {
    const analysis = await analyse('half-ported');
    const found = analysis.findings.map((finding) => keyOf({ ...finding, line: lineOf(analysis, finding) }));
    expect(found.sort()).toEqual(PLANTED.map(keyOf).sort());
  });

  it('is what the editor tests expect', () => {
    const line = ({ rule, file, line: text }: (typeof expectations.findings)[number]) =>
      `${rule} ${file}: ${text}`;
    expect(expectations.findings.map(line).sort()).toEqual(
      PLANTED.map((one) => `${one.rule} ${one.line}`).sort(),
    );
  });

  it.each(PLANTED)('$rule at $line says $says', async (planted) => {
    const analysis = await analyse('half-ported');
    const finding = analysis.findings.find(
      (one) => one.rule === planted.rule && lineOf(analysis, one) === planted.line,
    );
    expect(finding?.message).toContain(planted.says);
  });
});

describe.each(['old-board', 'finished'])('the %s sample', (name) => {
  it('has no finding above info', async () => {
    expect(loud(await analyse(name))).toEqual([]);
  });
});
