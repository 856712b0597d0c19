import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Branch } from '../../server/src/machine/branch';
import { resistancePerMetreOf, tableCapacity } from '../../server/src/machine/branchWire';
import { defineRule } from '../../server/src/rules/rule';
import { analyseFixture } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

/**
 * What flows where, against figures worked out by hand with Ohm's law; wires against IEC 60228 and IEC 60204-1. The machine: 24 V, a bed
 * of 1.9 Ω and a tool of 40 W on the board, a chamber heater behind a switch module of its own, two fans, an axis of two motors, a lamp.
 */
const SETTINGS = `
#define BED_HEATER_PIN P1
#define TOOL_0_HEATER_PIN P2
#define FAN_PART_PIN P3
#define AXIS_Z_MOTOR_CURRENT_A 0.8
#define AXIS_Z_STEP_PIN P10`;

const BOARD = {
  name: 'B',
  supply: { logicPower: '6 W' },
  fuses: { F1: { rating: '15 A', type: 'blade' }, F2: { rating: '5 A', type: 'iec' } },
  connectors: {
    IN: { kind: 'supply', currentRating: '20 A', fuse: 'F1' },
    HB: { kind: 'output', currentRating: '12 A', contactsInParallel: 2, temperatureFactor: '80 %' },
    H0: { kind: 'output', class: 'crimp 3.96 mm' },
    MZ: { kind: 'motor', currentRating: '3 A' },
  },
  outputs: {
    OUT1: { pin: 'P1', connector: 'HB', maxCurrent: '15 A' },
    OUT2: { pin: 'P2', connector: 'H0', fuse: 'f2' },
    OUT3: { pin: 'P3' },
  },
  drivers: { Z: { stepPin: 'P10', connector: 'MZ' } },
};

const SHEET = {
  name: 'M',
  supply: { voltage: '24 V ±5 %' },
  heaters: {
    bed: { zone: 'bed', resistance: '1.9 Ω', output: 'OUT1' },
    tool: { zone: 'tool.0', ratedVoltage: '24 V', ratedPower: '40 W', output: 'OUT2' },
    big: { zone: 'bed', resistance: '4 Ω', externalSwitch: { kind: 'dcSolidState', fuse: '10 A' } },
    mains: { ratedVoltage: '230 V', voltage: '230 V', ratedPower: '600 W', alternating: true },
  },
  fans: { part: { role: 'fan.part', current: '0.1 A', output: 'OUT3' }, box: { role: 'fan.electronics' } },
  motors: { m: { resistance: '2 Ω' } },
  axes: { z: { motors: [{ motor: 'm', driver: 'Z' }, { motor: 'm' }], joined: 'ownDrivers' } },
  loads: {
    lamp: { kind: 'lamp', power: '12 W' },
    spindle: { kind: 'spindle', voltage: '48 V', current: '6 A' },
  },
  wires: {
    'bed pair': {
      serves: 'heaters.bed',
      size: '0.75 mm²',
      length: '0.8 m',
      insulation: 'PVC',
      fuse: { rating: '15 A', type: 'blade' },
      plug: { title: 'bed plug', rating: '20 A' },
    },
    lead: { serves: 'supply', size: '2.5 mm²', length: '0.5 m', insulation: 'PVC' },
  },
};

async function branches(sheet: object = SHEET, board: object = BOARD, settings = SETTINGS) {
  let found: readonly Branch[] = [];
  const probe = defineRule({
    id: 'test/probe',
    title: '',
    what: '',
    why: '',
    formula: '',
    source: '',
    severity: ['info'],
    bad: [],
    good: [],
    check: ({ machine }) => {
      found = machine.branches;
    },
  });
  const source = `//- settings.h\n${settings}\n//- b.board.json\n${JSON.stringify(board)}\n//- m.machine.json\n${JSON.stringify(sheet)}`;
  const { findings } = await analyseFixture(readFixture(source), [probe]);
  expect(findings.filter(({ rule }) => rule.startsWith('files/'))).toEqual([]);
  return new Map(found.map((branch) => [branch.id, branch]));
}

describe('currents', () => {
  it('a heater: 24 V over 1.9 Ω, 12.63 A; 12.0 to 13.3 A with a supply of ±5 %', async () => {
    const bed = (await branches()).get('heaters.bed');
    expect(bed?.nominalCurrent?.value.nom).toBeCloseTo(12.632, 3);
    expect(bed?.nominalCurrent?.value.hi).toBeCloseTo(12.632, 3);
    expect(bed?.current?.value.lo).toBeCloseTo(12.0, 3);
    expect(bed?.current?.value.hi).toBeCloseTo(13.263, 3);
    expect(bed?.nominalPower?.value.nom).toBeCloseTo(303.16, 2);
    expect(bed?.title).toBe('the heater of the bed');
    expect(bed?.reading?.entry.name).toBe('BED_HEATER_PIN');
    expect(bed?.source).toBe('supply');
  });

  it('a heater of 48 V behind a switch of its own takes nothing from a supply of 24 V', async () => {
    const big = {
      ratedVoltage: '48 V',
      ratedPower: '400 W',
      voltage: '48 V',
      output: 'OUT1',
      externalSwitch: { kind: 'dcSolidState' },
    };
    expect(
      (await branches({ ...SHEET, heaters: { ...SHEET.heaters, big } })).get('heaters.big')?.source,
    ).toBe('other');
    const { externalSwitch: _, ...direct } = big;
    const found = await branches({ ...SHEET, heaters: { ...SHEET.heaters, big: direct } });
    expect(found.get('heaters.big')?.source).toBe('supply');
  });

  it('a heater by its rating: 40 W at 24 V is 1.667 A', async () => {
    expect((await branches()).get('heaters.tool')?.current?.value.nom).toBeCloseTo(1.6667, 4);
  });

  it('two motors of 2 Ω at 0.8 A rms: 0.8 A in their wires, 2·2·0.64·2/0.85 = 6.02 W, 0.251 A of the supply', async () => {
    const z = (await branches()).get('axes.z');
    expect(z?.motor?.count).toBe(2);
    expect(z?.current?.value.nom).toBeCloseTo(0.8, 9);
    expect(z?.nominalPower?.value.nom).toBeCloseTo(6.0235, 4);
    expect(z?.sourceCurrent?.value.nom).toBeCloseTo(0.25098, 5);
  });

  it('two motors in parallel halve the current of one driver: 2·2·0.16·2/0.85 = 1.51 W', async () => {
    const sheet = { ...SHEET, axes: { z: { ...SHEET.axes.z, joined: 'parallel' } } };
    const z = (await branches(sheet)).get('axes.z');
    expect(z?.current?.value.nom).toBeCloseTo(0.4, 9);
    expect(z?.nominalPower?.value.nom).toBeCloseTo(1.5059, 4);
  });

  it('both connectors of one socket are in parallel, whether or not the sheet says so', async () => {
    const motors = [
      { motor: 'm', connector: 'MZ' },
      { motor: 'm', connector: 'MZ2' },
    ];
    const board = {
      ...BOARD,
      connectors: { ...BOARD.connectors, MZ2: BOARD.connectors.MZ },
      drivers: { Z: { ...BOARD.drivers.Z, secondConnector: 'MZ2' } },
    };
    const z = (await branches({ ...SHEET, axes: { z: { motors } } }, board)).get('axes.z');
    expect(z?.current?.value.nom).toBeCloseTo(0.4, 9);
    expect(z?.nominalPower?.value.nom).toBeCloseTo(1.5059, 4);
  });

  // Ipk = Vref/(gain·R): DRV8825 data sheet, gain 5, here 0.5 V over 0.1 Ω: 1 A peak, 0.707 A rms.
  it('a motor whose current is set by a trimmer', async () => {
    const sheet = {
      ...SHEET,
      drivers: { Z: { family: 'drv8825', senseResistor: '0.1 Ω', referenceVoltage: '0.5 V' } },
    };
    const z = (await branches(sheet, BOARD, '#define AXIS_Z_STEP_PIN P10')).get('axes.z');
    expect(z?.current?.value.nom).toBeCloseTo(Math.SQRT1_2, 9);
  });

  it('a fan by its label, a lamp of 12 W at 24 V, the board of 6 W', async () => {
    const all = await branches();
    expect(all.get('fans.part')?.current?.value.nom).toBeCloseTo(0.1, 9);
    expect(all.get('fans.part')?.nominalPower?.value.nom).toBeCloseTo(2.4, 9);
    expect(all.get('loads.lamp')?.nominalCurrent?.value.nom).toBeCloseTo(0.5, 9);
    expect(all.get('logic')?.nominalCurrent?.value.nom).toBeCloseTo(0.25, 9);
  });

  it('mains and other voltages are no load of the supply', async () => {
    const all = await branches();
    expect(all.get('heaters.mains')).toMatchObject({ source: 'mains', throughBoard: false });
    expect(all.get('loads.spindle')?.source).toBe('other');
    expect(all.get('heaters.mains')?.nominalCurrent?.value.nom).toBeCloseTo(2.6087, 4);
  });
});

describe('the lead to the board', () => {
  it('carries what is behind the board: 12.632 + 1.667 + 0.1 + 0.251 + 0.5 + 0.25 A', async () => {
    const lead = (await branches()).get('supply');
    expect(lead?.behind.map(({ id }) => id)).toEqual([
      'heaters.bed',
      'heaters.tool',
      'fans.part',
      'fans.box',
      'axes.z',
      'loads.lamp',
      'logic',
    ]);
    expect(lead?.nominalCurrent?.value.nom).toBeCloseTo(15.399, 2);
    expect(lead?.plugs.map(({ title }) => title)).toEqual(['the connector IN']);
  });

  it('several supply connectors: only the fuses tell what hangs on which', async () => {
    const board = {
      ...BOARD,
      connectors: { ...BOARD.connectors, IN2: { kind: 'supply', fuse: 'F2' } },
    };
    const all = await branches(SHEET, board);
    expect(all.has('supply')).toBe(false);
    expect(all.get('supply IN2')?.behind.map(({ id }) => id)).toEqual(['heaters.tool']);
    // No wire can be said to serve it, so none is asked for.
    expect([...(all.get('supply IN2')?.missing.keys() ?? [])]).toEqual([]);
    expect(all.get('heaters.bed')?.fuses.map(({ title }) => title)).toEqual([
      'the fuse in the wire "bed pair"',
    ]);
  });
});

describe('what lies on the way', () => {
  it('fuses: the wire’s own, the output’s, the switch’s, and the lead’s, which are shared', async () => {
    const all = await branches();
    const titles = (id: string) => all.get(id)?.fuses.map(({ title }) => title);
    expect(titles('heaters.bed')).toEqual(['the fuse in the wire "bed pair"', 'the fuse F1']);
    expect(titles('heaters.tool')).toEqual(['the fuse F2', 'the fuse F1']);
    expect(titles('heaters.big')).toEqual(['the fuse of the external switch']);
    expect(titles('loads.lamp')).toEqual(['the fuse F1']);
    expect(all.get('heaters.bed')?.fuses[1]).toBe(all.get('supply')?.fuses[0]);
  });

  it('plugs: two contacts of 12 A count 0.8 each, at 80 % of their rating: 15.36 A', async () => {
    const all = await branches();
    const plugs = all.get('heaters.bed')?.plugs;
    expect(plugs?.map(({ title }) => title)).toEqual(['the connector HB', 'the bed plug']);
    expect(plugs?.[0]?.capacity?.value.nom).toBeCloseTo(15.36, 9);
    expect(plugs?.[1]?.capacity?.value.nom).toBeCloseTo(20, 9);
    expect(all.get('heaters.tool')?.plugs[0]?.rating).toMatchObject({
      quality: 'estimated',
      value: { nom: 7 },
    });
    expect(all.get('heaters.big')?.plugs).toEqual([]);
  });

  it('a wire: 0.75 mm² carries 9.8 A; 26 Ω/km, 0.8 m, 70 °C: 49.8 mΩ, 0.629 V', async () => {
    const wire = (await branches()).get('heaters.bed')?.wires[0];
    expect(wire?.capacity?.value.nom).toBeCloseTo(9.8, 9);
    expect(wire?.resistance?.value.nom).toBeCloseTo(0.04977, 5);
    expect(wire?.drop?.value.nom).toBeCloseTo(0.6288, 3);
    expect(wire?.dropShare?.value.nom).toBeCloseTo(0.0262, 4);
  });

  it('what is missing is named', async () => {
    const all = await branches();
    expect(all.get('fans.box')?.missing.get('current')).toContain('fans.box.current');
    expect(all.get('heaters.tool')?.missing.get('wire')).toContain('"heaters.tool"');
    expect(all.get('fans.part')?.missing.get('plug')).toContain('"fans.part"');
    expect(all.get('heaters.bed')?.missing.size).toBe(0);
    expect(all.get('heaters.mains')?.missing.get('output')).toContain('heaters.mains.output');
  });

  it('a heater that only the settings know', async () => {
    const all = await branches({ name: 'M' });
    expect(all.get('heaters.bed')?.missing.get('current')).toContain('zone "bed"');
    expect(all.get('fans.part')?.missing.get('current')).toContain('role "fan.part"');
  });

  it('no board, no sheet: nothing, and no crash', async () => {
    expect((await branches({ name: 'M' }, { name: 'B' }, '')).size).toBe(2);
  });
});

describe('capacity of wires', () => {
  // IEC 60204-1, PVC, 40 °C; 4 and 6 mm² by IEC 60364-5-52 × 0.87. 0.5 and 0.2 mm² are in no shipped table: 7.5 and 4.4 A,
  // from memory of the rows for electronics in IEC 60204-1, lie within the bounds.
  it.each([
    [0.75, 9.8],
    [1.0, 11.7],
    [2.5, 21],
    [6, 35.7],
  ])('%d mm²: %d A', (size, amperes) => {
    const capacity = tableCapacity(size * 1e-6);
    expect(capacity.lo).toBeCloseTo(amperes, 9);
    expect(capacity.hi).toBeCloseTo(amperes, 9);
  });
  it.each([
    [0.5, 7.5],
    [0.2, 4.4],
  ])('%d mm² lies around %d A', (size, amperes) => {
    const capacity = tableCapacity(size * 1e-6);
    expect(capacity.lo).toBeLessThan(amperes);
    expect(capacity.hi).toBeGreaterThan(amperes);
    expect(Math.abs(capacity.nom / amperes - 1)).toBeLessThan(0.05);
  });

  it('a thicker wire never carries less, nor has more resistance', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 20, noNaN: true }),
        fc.double({ min: 1, max: 3, noNaN: true }),
        (size, k) => {
          const [thin, thick] = [tableCapacity(size * 1e-6), tableCapacity(size * k * 1e-6)];
          expect(thick.nom).toBeGreaterThanOrEqual(thin.nom * (1 - 1e-9));
          expect(thick.lo).toBeGreaterThanOrEqual(thin.lo * (1 - 1e-9));
          expect(resistancePerMetreOf(size * k * 1e-6)).toBeLessThanOrEqual(
            resistancePerMetreOf(size * 1e-6) * 1.04,
          );
        },
      ),
    );
  });

  const wireOf = async (more: object) => {
    const sheet = { ...SHEET, wires: { w: { serves: 'heaters.bed', size: '1.5 mm²', ...more } } };
    return (await branches(sheet)).get('heaters.bed')?.wires[0]?.capacity?.value;
  };
  // √((70 − 60)/(70 − 40)) = 0.577; three in a bundle 0.7 (IEC 60364-5-52, table B.52.17).
  it('60 °C around PVC: 0.577 of it; three pairs together: 0.7', async () => {
    expect((await wireOf({ insulation: 'PVC', ambient: '60 °C' }))?.nom).toBeCloseTo(15.2 * 0.57735, 3);
    expect((await wireOf({ insulation: 'PVC', bundled: 3 }))?.nom).toBeCloseTo(10.64, 9);
    expect((await wireOf({ insulation: 'PVC', bundled: 2 }))?.nom).toBeCloseTo(12.16, 9);
    // Six pairs in a cable chain 0.57, nine 0.50, by the same table.
    expect((await wireOf({ insulation: 'PVC', bundled: 6 }))?.nom).toBeCloseTo(15.2 * 0.57, 9);
    expect((await wireOf({ insulation: 'PVC', bundled: 9 }))?.nom).toBeCloseTo(7.6, 9);
    expect((await wireOf({ insulation: 'PVC', ambient: '75 °C' }))?.nom).toBe(0);
  });
  // √(140/30 · 1.1965/1.6288) = 1.8515
  it('silicone stands 180 °C: 1.85 times as much; unknown insulation is anything from PVC up', async () => {
    expect((await wireOf({ insulation: 'silicone' }))?.nom).toBeCloseTo(15.2 * 1.8515, 2);
    const unknown = await wireOf({});
    expect(unknown?.lo).toBeCloseTo(15.2, 9);
    expect(unknown?.hi).toBeGreaterThan(28);
  });
});
