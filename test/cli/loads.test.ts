import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { uriOf } from '../../server/src/cli/paths';
import { analyseProject } from '../../server/src/project';
import { type Figure, loadSheet } from '../../server/src/reports/loads';
import { formatQuantity } from '../../server/src/units';
import { memoryHost } from '../kit/memoryHost';
import { command } from './kit';
import { core } from './wholeCore';

const root = join(import.meta.dirname, '../..');
const run = async (folder: string, ...args: string[]) => {
  const { code, out, error } = await command(['loads', folder, ...args], core, { folder: root });
  expect({ code, error }).toEqual({ code: 0, error: '' });
  return out.replaceAll('\u00a0', ' ');
};

const board = `{
  "name": "B", "stepRates": { "1": "100 kHz", "2": "80 kHz" },
  "connectors": { "HB": { "currentRating": "16 A" } },
  "outputs": {
    "OUT1": {
      "pin": "P9", "kind": "transistor", "connector": "HB", "maxCurrent": "15 A", "fuse": "F1",
      "rDsOn": "4 mΩ", "rDsOnAtGateVoltage": "4.5 V", "gateVoltage": "5 V", "junctionToAmbient": "40 K/W"
    }
  },
  "fuses": { "F1": { "rating": "20 A", "type": "blade" } }
}`;
const machine = `{
  "name": "M", "supply": { "voltage": "24 V", "power": "400 W" },
  "heaters": { "bed": { "zone": "bed", "resistance": "2 Ω", "output": "OUT1" } },
  "wires": { "bed": { "serves": "heaters.bed", "size": "1.5 mm²", "length": "1 m", "insulation": "PVC" } },
  "job": { "source": "host", "speed": "100 mm/s", "segment": "0.5 mm", "bytesPerMove": "32 B" }
}`;
const settings = `#define BED_HEATER_PIN P9
#define AXIS_X_STEPS_PER_MM 80
#define AXIS_X_MAX_SPEED_MM_PER_S 200
#define AXIS_Y_STEPS_PER_MM 80
#define AXIS_Y_MAX_SPEED_MM_PER_S 100
#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD 115200
`;
async function analysis(texts: { board?: string; machine?: string } = {}) {
  const files = new Map([
    [
      'file:///p/fettle.json',
      '{ "settings": ["s.h"], "board": "b.board.json", "machine": "m.machine.json" }',
    ],
    ['file:///p/s.h', settings],
    ['file:///p/b.board.json', texts.board ?? board],
    ['file:///p/m.machine.json', texts.machine ?? machine],
  ]);
  return analyseProject('file:///p/fettle.json', memoryHost(files));
}

const nominal = (figure: Figure | undefined): number => {
  if (!figure || !('value' in figure)) throw new Error(`no figure: ${JSON.stringify(figure)}`);
  return figure.value.nom;
};

// The figures beside each expectation are worked out by hand from the three texts above.
describe('the load sheet of a little machine', () => {
  it('follows the current through output, transistor, fuse, wire and plug', async () => {
    const sheet = loadSheet((await analysis()).machine);
    const bed = sheet.branches.find(({ id }) => id === 'heaters.bed');
    expect(nominal(bed?.current)).toBeCloseTo(12, 9); // 24 V / 2 Ω
    expect(nominal(bed?.power)).toBeCloseTo(288, 9); // 24 V · 12 A
    expect(nominal(bed?.output?.use)).toBeCloseTo(12 / 15, 9);
    expect(nominal(bed?.fuses[0]?.use)).toBeCloseTo(12 / 20, 9);
    expect(nominal(bed?.plugs[0]?.use)).toBeCloseTo(12 / 16, 9);
    // 12² · 4 mΩ · 1.5 = 0.864 W; 50 °C inside + 40 K/W · 0.864 W.
    expect(nominal(bed?.transistor)).toBeCloseTo(84.56, 6);
    // 1.5 mm² of class 5 copper: 13.3 Ω/km at 20 °C (IEC 60228, table 3); PVC at 70 °C: · (1 + 0.00393 · 50); 2 m out and back.
    expect(nominal(bed?.wires[0]?.drop)).toBeCloseTo(12 * 2 * 0.0133 * (1 + 0.00393 * 50), 3);
    // 1.5 mm² PVC, 40 °C, method C: 15.2 A (IEC 60204-1, table 6).
    expect(nominal(bed?.wires[0]?.use)).toBeCloseTo(12 / 15.2, 9);
    expect(bed?.left).toEqual({ share: expect.closeTo(1 - 12 / 15, 9), part: 'output OUT1' });
    expect(nominal(sheet.supply?.use)).toBeCloseTo(288 / 400, 9);
  });

  it('sets step rates against the board’s table, alone and together', async () => {
    const { steps } = loadSheet((await analysis()).machine);
    // 200 mm/s · 80 steps/mm = 16 kHz; 100 mm/s: 8 kHz.
    expect(steps.map(({ title, motors, use }) => [title, motors, nominal(use)])).toEqual([
      ['X', 1, 0.16],
      ['X', 2, 0.2],
      ['Y', 1, 0.08],
      ['Y', 2, 0.1],
    ]);
  });

  it('sets lines a second against the job’s', async () => {
    const [line] = loadSheet((await analysis()).machine).lines;
    // 115 200 Bd / 10 bits a byte / 32 bytes = 360 lines; 100 mm/s / 0.5 mm = 200; 360 · 0.5 mm = 180 mm/s.
    expect(nominal(line?.carries)).toBeCloseTo(360, 9);
    expect(nominal(line?.needs)).toBeCloseTo(200, 9);
    expect(nominal(line?.speedLimit)).toBeCloseTo(0.18, 9);
  });

  it('asks for what is missing instead of leaving a cell empty', async () => {
    const bare = await analysis({
      board: '{ "name": "B", "outputs": { "OUT1": { "pin": "P9", "kind": "transistor" } } }',
      machine: '{ "name": "M", "heaters": { "bed": { "zone": "bed", "output": "OUT1" } } }',
    });
    const sheet = loadSheet(bare.machine);
    const bed = sheet.branches.find(({ id }) => id === 'heaters.bed');
    const asks = [bed?.current, bed?.output?.rating, bed?.transistor, bed?.unstated.fuse, bed?.unstated.wire];
    for (const figure of asks) expect(figure).toEqual({ question: expect.stringMatching(/\w{3,}/) });
    expect(sheet.steps[0]?.needs).toEqual({ question: expect.stringContaining('stepRates') });
    expect(sheet.supply?.rated).toEqual({ question: expect.stringContaining('supply.power') });
  });
});

const machines = ['coupled-belts', 'moving-bed', 'old-twelve-volt', 'plotter', 'screw-router', 'two-tools'];
const folders = ['client/sample/half-ported', ...machines.map((name) => `test/machines/${name}`)];

describe.each(folders)('%s', (folder) => {
  const analysed = analyseProject(uriOf(join(root, folder, 'fettle.json')), {
    read: async (uri) => {
      try {
        return readFileSync(new URL(uri), 'utf8');
      } catch {
        return undefined;
      }
    },
  });
  const said = async () => {
    const { agreements, findings } = await analysed;
    return [...agreements, ...findings].map(({ rule, message }) => ({ rule, message }));
  };

  it('has the numbers that the rules say', async () => {
    const sheet = loadSheet((await analysed).machine);
    const messages = await said();
    const share = (figure: Figure) => formatQuantity(nominal(figure), 'ratio', { digits: 3 });
    for (const { rule, message } of messages) {
      if (rule === 'supply/fuse-continuous') {
        const fuses = sheet.branches.flatMap((branch) => branch.fuses).filter(({ use }) => 'value' in use);
        expect(
          fuses.map(({ use }) => share(use)).some((one) => message.includes(one)),
          message,
        ).toBe(true);
      }
      if (rule === 'supply/connector-rating') {
        const plugs = sheet.branches.flatMap((branch) => branch.plugs).filter(({ use }) => 'value' in use);
        expect(
          plugs.map(({ use }) => share(use)).some((one) => message.includes(one)),
          message,
        ).toBe(true);
      }
      if (rule === 'supply/budget') expect(message).toContain(share(sheet.supply!.use));
      if (rule === 'heating/transistor-heat') {
        const celsius = sheet.branches
          .flatMap(({ transistor }) => (transistor && 'value' in transistor ? [transistor.value.nom] : []))
          .map((one) => formatQuantity(one, 'temperature', { digits: 3 }));
        expect(
          celsius.some((one) => message.includes(one)),
          message,
        ).toBe(true);
      }
      if (rule === 'link/lines-starve' && message.startsWith('The cable carries')) {
        const used = formatQuantity(nominal(sheet.lines.find(({ use }) => use)?.use), 'ratio', { digits: 2 });
        expect(message).toContain(used);
      }
    }
  });

  it('has no empty question', async () => {
    expect(JSON.stringify(loadSheet((await analysed).machine))).not.toContain('"question":""');
  });

  it('prints as text, Markdown and JSON', async () => {
    expect(await run(folder)).toContain('fettle.json: loads\n');
    expect(await run(folder, '--format', 'markdown')).toMatch(/^# .*\n\n## Supply\n\n\| voltage \|/);
    const { version, projects } = JSON.parse(await run(folder, '--format', 'json'));
    expect(version).toBe(1);
    const units = [...JSON.stringify(projects).matchAll(/"unit":"([^"]*)"/g)].map(([, unit]) => unit ?? '');
    expect(units.filter((unit) => !known.includes(unit))).toEqual([]);
  });
});

const known = ['V', 'W', 'A', 'm²', 'Hz', 'm/s', '°C', '1'];

describe('on a terminal', () => {
  it.each([40, 80, 120])('%i columns: no line is wider, and no figure is lost', async (width) => {
    const wide = await command(['loads', 'test/machines/screw-router'], core, { folder: root });
    const { out } = await command(['loads', 'test/machines/screw-router'], core, { folder: root, width });
    expect(out.split('\n').filter((line) => [...line].length > width)).toEqual([]);
    const words = (text: string) => new Set(text.split(/\s+/));
    // Heads of empty columns may go.
    expect([...words(wide.out)].filter((word) => /\d/.test(word) && !words(out).has(word))).toEqual([]);
  });

  it('asks for fuses, wires and plugs once for all', async () => {
    const text = await run('test/machines/screw-router');
    expect(text).toContain(
      'the X motor ("axes.x"): fuse, wire, plug; the 2 Y motors ("axes.y"): fuse, wire, plug;',
    );
    expect(text).not.toContain('[1]');
  });

  it('names all motors of an axis where their power is counted', async () => {
    // Two motors of 2 A and 1.8 Ω: 2 · 2 · 2² · 1.8 / 0.85 = 33.9 W together.
    const { machine } = await analysis({
      machine: `{ "name": "M", "supply": { "voltage": "24 V" }, "motors": { "m": { "resistance": "1.8 Ω" } },
        "axes": { "y": { "motors": [{ "motor": "m" }, { "motor": "m" }] } } }`,
    });
    const row = loadSheet(machine).branches.find(({ id }) => id === 'axes.y');
    expect(row?.title).toBe('the 2 Y motors');
  });
});
