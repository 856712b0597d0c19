import { describe, expect, it } from 'vitest';
import { loadBoard } from '../../server/src/board/load';
import { type InputCircuit, inputCircuit, isCircuit } from '../../server/src/machine/inputCircuit';
import { stateLevel } from '../../server/src/machine/levels';
import { loadMachine } from '../../server/src/machine/load';
import type { Fact } from '../../server/src/model/fact';

/**
 * The circuit that is built from board and sheet, against voltages worked out by hand with the divider formula. The network's own
 * solution is compared with a circuit simulator elsewhere; here it is what goes into it.
 */

const fact = <T>(value: T): Fact<T> => ({ value, quality: 'datasheet', label: 'test' });

interface Parts {
  readonly pull?: string;
  readonly fitted?: readonly object[];
  readonly sensor?: object;
  readonly board?: object;
  readonly connector?: object;
  /** Connector that the sheet says; J1 when left out. */
  readonly plug?: string;
}

function build({ pull = 'none', fitted = [], sensor, board = {}, connector = {}, plug = 'J1' }: Parts) {
  const text = JSON.stringify({
    name: 'B',
    logicVoltage: '3.3 V',
    chipFacts: { vil: '0.99 V', vih: '2.31 V', pullUp: '30..80 kΩ', pullDown: '40 kΩ' },
    connectors: { J1: { pin: 'P1', fitted, ...connector }, J2: { pin: 'P2' } },
    ...board,
  });
  const { profile, problems } = loadBoard('file:///b.board.json', text);
  const sheetText = JSON.stringify({
    name: 'M',
    sensors: sensor ? { s: { watches: 'probe', connector: plug, ...sensor } } : {},
  });
  const loaded = loadMachine('file:///m.machine.json', sheetText, profile);
  expect([...problems, ...loaded.problems]).toEqual([]);
  return inputCircuit(
    {
      id: 'probe',
      title: 'the probe',
      sensor: loaded.sheet?.sensors.get('s'),
      wiredTo: sensor ? profile?.connectors.get(plug) : undefined,
      connector: profile?.connectors.get('J1'),
      boardPin: profile?.pins.get('P1'),
      pin: () => fact('P1'),
      choice: () => (pull === '' ? undefined : fact(pull)),
    },
    profile,
  );
}

function circuit(parts: Parts): InputCircuit {
  const built = build(parts);
  if (!isCircuit(built)) throw new Error(built.question ?? 'no circuit');
  return built;
}

const CONTACT = { kind: 'contact', contact: 'NO', joins: '0 V' };
const range = (built: InputCircuit, state: 'rest' | 'pressed' | 'wireCut') => built.solve(state).pin!;

describe('what is fitted', () => {
  it('has 5 % unless its tolerance is stated', () => {
    // 3.3 V · 10/(10 + R), R = 4.7 kΩ, both ±5 %.
    const parts = (tolerance: string) => [
      { part: 'pullUp', resistance: `4.7 kΩ${tolerance}`, to: '3.3 V' },
      { part: 'pullDown', resistance: `10 kΩ${tolerance}` },
    ];
    const wide = range(circuit({ fitted: parts(''), sensor: CONTACT }), 'rest');
    expect(wide.nom).toBeCloseTo(3.3 * (10 / 14.7), 6);
    expect(wide.lo).toBeCloseTo(3.3 * (9.5 / (9.5 + 4.935)), 6);
    expect(wide.hi).toBeCloseTo(3.3 * (10.5 / (10.5 + 4.465)), 6);
    const tight = range(circuit({ fitted: parts(' ±1 %'), sensor: CONTACT }), 'rest');
    expect(tight.lo).toBeCloseTo(3.3 * (9.9 / (9.9 + 4.747)), 6);
  });

  it('a pull-up without a stated end goes to the logic voltage', () => {
    const fitted = [{ part: 'pullUp', resistance: '4.7 kΩ' }];
    expect(range(circuit({ fitted, sensor: CONTACT }), 'rest').nom).toBeCloseTo(3.3, 9);
  });

  it('a divider on the board: upper in series, lower at the pin', () => {
    const fitted = [{ part: 'divider', resistance: '10 kΩ', lowerResistance: '15 kΩ' }];
    const sensor = { kind: 'pushPull', pressedLevel: 'high', supply: '5 V', drop: '0 V', saturation: '0 V' };
    // 30 Ω of the output itself.
    expect(range(circuit({ fitted, sensor }), 'pressed').nom).toBeCloseTo((5 * 15) / 25.03, 6);
  });

  it('a divider of the builder stands before the connector', () => {
    const sensor = {
      kind: 'pnp',
      contact: 'NO',
      supply: '24 V',
      drop: '2 V',
      leakage: '0 mA',
      divider: { upper: '10 kΩ ±1 %', lower: '1.5 kΩ ±1 %' },
    };
    const built = circuit({ sensor, fitted: [{ part: 'series', resistance: '1 kΩ' }] });
    // 22 V · 1.5/11.51: the catalogue's 2.87 V; nothing flows through the series resistor.
    expect(range(built, 'pressed').nom).toBeCloseTo((22 * 1.5) / 11.51, 6);
    expect(built.solve('pressed').connector!.nom).toBeCloseTo((22 * 1.5) / 11.51, 6);
    expect(range(built, 'rest').nom).toBeCloseTo(0, 9);
  });

  it('an optocoupler is not computed, and nothing is asked', () => {
    expect(build({ fitted: [{ part: 'optocoupler' }], sensor: CONTACT })).toEqual({});
  });
});

describe('the pull inside the chip', () => {
  it('is taken with its range', () => {
    // Behind 1 kΩ to a closed contact of 0.1 Ω: 3.3 V · 1.0001/(1.0001 + R).
    const fitted = [{ part: 'series', resistance: '1 kΩ' }];
    const volts = range(circuit({ pull: 'up', fitted, sensor: CONTACT }), 'pressed');
    expect(volts.hi).toBeCloseTo((3.3 * 1.0001) / 31.0001, 6);
    expect(volts.lo).toBeCloseTo((3.3 * 1.0001) / 81.0001, 6);
  });

  it('of the pin goes before that of the chip', () => {
    const built = circuit({ pull: 'up', sensor: CONTACT, board: { pins: { P1: { pullUp: '10 kΩ' } } } });
    expect(built.facts.innerPull?.ohms.nom).toBe(10_000);
  });

  it('that the chip does not have is none', () => {
    const board = { chipFacts: { vil: '0.99 V', vih: '2.31 V', pulls: ['up'] } };
    expect(circuit({ pull: 'down', sensor: CONTACT, board }).facts.innerPull).toBeUndefined();
    expect(circuit({ pull: 'up', sensor: CONTACT, board }).facts.innerPull).toBeDefined();
  });

  it('can be changed to see what would be', () => {
    const built = circuit({ pull: 'none', sensor: CONTACT });
    expect(built.solve('rest').floating).toBe('everywhere');
    expect(built.withPull('up').solve('rest').floating).toBe('never');
    expect(stateLevel(built.withPull('up'), 'rest').level).toBe('high');
    expect(stateLevel(built.withPull('down'), 'rest').level).toBe('low');
  });
});

describe('the sensor', () => {
  const PULLED = [{ part: 'pullUp', resistance: '4.7 kΩ', to: '3.3 V' }];

  it('takes the bounds of IEC 60947-5-2 where the sheet states none, and says so', () => {
    const built = circuit({ fitted: PULLED, sensor: { kind: 'npn', contact: 'NO' } });
    expect(built.assumed).toHaveLength(2);
    const { sensor } = built;
    expect(sensor?.kind === 'npn' && [sensor.saturation.hi, sensor.leakage.hi]).toEqual([3.5, 0.0005]);
    expect(
      circuit({ fitted: PULLED, sensor: { kind: 'npn', contact: 'NO', saturation: '1 V', leakage: '0 mA' } })
        .assumed,
    ).toEqual([]);
  });

  it('has its supply within 5 % unless its tolerance is stated, or at its highest', () => {
    const at = (supply: string) =>
      circuit({ sensor: { kind: 'pnp', contact: 'NO', supply, drop: '0 V', leakage: '0 mA' } });
    const supplyOf = ({ sensor }: InputCircuit) => (sensor?.kind === 'pnp' ? sensor.supply : undefined);
    expect(supplyOf(at('20 V'))).toMatchObject({ lo: 19, hi: 21 });
    expect(supplyOf(at('20 V ±2 %'))?.hi).toBeCloseTo(20.4, 9);
    expect(supplyOf(at('20 V').withSupplyHigh(0.1))).toMatchObject({ lo: 22, hi: 22 });
    expect(supplyOf(at('20 V ±2 %').withSupplyHigh(0.1))?.hi).toBeCloseTo(20.4, 9);
  });

  it("takes the connector's supply when it states none of its own", () => {
    const sensor = { kind: 'pnp', contact: 'NO', drop: '0 V', leakage: '0 mA' };
    const built = circuit({ sensor, connector: { supply: '5 V' } });
    expect(built.sensorSupply?.value.nom).toBe(5);
    expect(built.sensor).toBeDefined();
  });

  it.each([
    ['no kind', {}, 'sensors.s.kind'],
    ['a contact to somewhere', { kind: 'contact' }, 'sensors.s.joins'],
    ['a contact to an unknown supply', { kind: 'contact', joins: 'supply' }, 'sensors.s.supply'],
    ['a PNP on an unknown supply', { kind: 'pnp' }, 'sensors.s.supply'],
    ['a push-pull output on an unknown supply', { kind: 'pushPull' }, 'sensors.s.supply'],
    ['a pull-up inside to an unknown supply', { kind: 'npn', insidePullUp: '10 kΩ' }, 'sensors.s.supply'],
    ['an optical output of unknown current', { kind: 'optical' }, 'sensors.s.outputCurrent'],
  ])('%s cannot be built, and one fact is asked for', (_, sensor, question) => {
    const built = circuit({ fitted: PULLED, sensor });
    expect(built.sensor).toBeUndefined();
    expect(built.sensorQuestion).toContain(question);
  });

  it('a stall has no circuit of a sensor, and nothing is asked', () => {
    const built = circuit({ fitted: PULLED, sensor: { kind: 'stall' } });
    expect([built.sensor, built.sensorQuestion]).toEqual([undefined, undefined]);
  });

  it('an optical output gives up where the pull-up wants more than its current', () => {
    // 3.3 V over 1 kΩ is 3 mA; the output takes 1 mA: 3.3 − 1 = 2.3 V.
    const fitted = [{ part: 'pullUp', resistance: '1 kΩ', to: '3.3 V' }];
    const sensor = { kind: 'optical', contact: 'NO', outputCurrent: '1 mA', saturation: '0.3 V' };
    expect(range(circuit({ fitted, sensor }), 'pressed').nom).toBeCloseTo(2.3, 6);
  });

  it('a diode in its line lifts its low level and blocks the pull-up inside', () => {
    const sensor = {
      kind: 'npn',
      contact: 'NO',
      supply: '24 V',
      saturation: '0.2 V',
      leakage: '0 mA',
      insidePullUp: '10 kΩ',
      seriesDiode: '0.3 V',
    };
    const built = circuit({ fitted: PULLED, sensor });
    expect(range(built, 'rest').nom).toBeCloseTo(3.3, 6);
    expect(range(built, 'pressed').nom).toBeGreaterThan(0.5);
    expect(range(built, 'pressed').nom).toBeLessThan(0.55);
  });
});

describe('what the pin stands', () => {
  it('is the logic voltage and 0.3 V, unless the board or the chip says otherwise', () => {
    expect(circuit({ sensor: CONTACT }).pinMax.value.nom).toBeCloseTo(3.6, 9);
    const board = { pins: { P1: { vMax: '4 V' } } };
    expect(circuit({ sensor: CONTACT, board }).pinMax.value.nom).toBe(4);
  });

  it('is more on a tolerant pin, which has no clamp', () => {
    const chipFacts = { vil: '0.99 V', vih: '2.31 V', tolerantPinMax: '5.5 V', tolerantNeedsPullOff: true };
    const board = { chipFacts, pins: { P1: { tolerant5V: true } } };
    const built = circuit({ sensor: CONTACT, board });
    expect([built.tolerant, built.facts.clamp, built.pinMax.value.nom]).toEqual([true, false, 5.5]);
    expect(circuit({ sensor: CONTACT, board, pull: 'up' }).pinMax.value.nom).toBeCloseTo(3.6, 9);
  });
});

describe('no circuit', () => {
  it('where sheet and settings disagree about the connector: another rule says so', () => {
    expect(build({ sensor: CONTACT, plug: 'J2' })).toEqual({});
  });

  it('without a pull in the settings: asked for', () => {
    expect(build({ sensor: CONTACT, pull: '' })).toEqual({
      question: expect.stringContaining('Set the pull'),
    });
  });

  it('without a logic voltage: asked for', () => {
    expect(build({ sensor: CONTACT, board: { logicVoltage: undefined } })).toEqual({
      question: expect.stringContaining('logicVoltage'),
    });
  });
});
