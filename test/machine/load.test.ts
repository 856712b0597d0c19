import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import machineSchema from '../../schemas/machine.schema.json';
import { loadBoard } from '../../server/src/board/load';
import { fittedDrivers } from '../../server/src/machine/fittedDriver';
import { loadMachine } from '../../server/src/machine/load';
import { materials } from '../../server/src/machine/materials';
import { checkReferences } from '../../server/src/machine/references';
import { shippedCurves } from '../../server/src/machine/sensorCurves';
import { copperWire } from '../../server/src/machine/wireTable';
import { validateByLibrary } from '../syntax/json/library';

const uri = 'file:///a.machine.json';
const read = (path: string): string => readFileSync(new URL(path, import.meta.url), 'utf8');
const board = loadBoard('file:///example.board.json', read('../board/example.board.json')).profile;
if (!board) throw new Error('the example board cannot be read');
const load = (members: string) => loadMachine(uri, `{"name": "m", ${members}}`, board);
const found = (text: string): string[] =>
  loadMachine(uri, text, board).problems.map(
    ({ id, place }) => `${id}: ${text.slice(place.start, place.end)}`,
  );
const dangling = (members: string): string[] => {
  const { sheet } = load(members);
  return sheet ? checkReferences(sheet, board).map((problem) => problem.message) : ['not read'];
};

describe('example', () => {
  const text = read('./example.machine.json');
  it('loads without a problem, with its board and without', () => {
    const { sheet, problems } = loadMachine(uri, text, board);
    expect(problems).toEqual([]);
    expect(sheet && checkReferences(sheet, board)).toEqual([]);
    expect(loadMachine(uri, text).problems).toEqual([]);
  });
  it('passes a general validator', async () =>
    expect(await validateByLibrary(machineSchema, text)).toEqual([]));
});

describe('facts', () => {
  it('are in SI units, angles in radians, temperatures in °C', () => {
    const { sheet } = load(
      '"ambient": "25 °C", "motors": {"s": {"stepAngle": "1.8°", "rotorInertia": "68 g·cm²"}}, "wires": {"w": {"size": "1.5 mm²", "length": "0.8 m"}}',
    );
    const motor = sheet?.motors.get('s');
    expect(sheet?.ambient?.value.nom).toBe(25);
    expect(motor?.stepAngle?.value.nom).toBeCloseTo(Math.PI / 100, 12);
    expect(motor?.rotorInertia?.value.nom).toBeCloseTo(6.8e-6, 15);
    expect(sheet?.wires.get('w')?.size?.value.nom).toBeCloseTo(1.5e-6, 15);
  });

  it('tolerances and limits are ranges', () => {
    const { sheet } = load(
      '"sensors": {"s": {"saturation": "0.1 V typ, 1.2 V max", "leakage": "≤ 0.5 mA", "supplyRange": "10..30 V"}}',
    );
    expect(sheet?.sensors.get('s')).toMatchObject({
      saturation: { value: { lo: 0.1, nom: 0.1, hi: 1.2 } },
      leakage: { value: { lo: 0, nom: 5e-4, hi: 5e-4 } },
      supplyRange: { value: { lo: 10, hi: 30 } },
    });
  });

  it('say how good they are', () => {
    const { sheet } = load(
      '"heaters": {"t": {"heatCapacity": {"value": "14 J/K", "quality": "estimated", "source": "weighed"}, "heatLoss": "0.1 W/K"}}',
    );
    expect(sheet?.heaters.get('t')).toMatchObject({
      heatCapacity: {
        quality: 'estimated',
        source: 'weighed',
        label: 'heat capacity of heater t (machine sheet)',
      },
      heatLoss: { quality: 'stated' },
    });
  });
});

describe('supplies', () => {
  const fan = (supply: string) =>
    load(`"supply": {"voltage": "24 V ±5 %"}, "fans": {"f": {"supply": "${supply}"}}`);
  it('the main supply', () =>
    expect(fan('supply').sheet?.fans.get('f')?.supply?.value.hi).toBeCloseTo(25.2, 9));
  it('a rail of the board', () =>
    expect(fan('5 V').sheet?.fans.get('f')?.supply?.value.hi).toBeCloseTo(5.25, 9));
  it('a voltage', () => expect(fan('12 V').sheet?.fans.get('f')?.supply?.value.nom).toBe(12));
  it('a rail that the board does not have', () =>
    expect(fan('aux').problems).toMatchObject([{ id: 'files/dangling-reference' }]));
  it('a rail, as long as there is no board, is unknown without a word', () => {
    const { sheet, problems } = loadMachine(uri, '{"name": "m", "fans": {"f": {"supply": "aux"}}}');
    expect(problems).toEqual([]);
    expect(sheet?.fans.get('f')?.supply).toBeUndefined();
  });
});

describe('references', () => {
  it.each([
    [
      'connector',
      '"sensors": {"s": {"connector": "X-MIM"}}',
      'There is no connector "X-MIM" on Bench board A. Did you mean "X-MIN"?',
    ],
    ['case does not count', '"sensors": {"s": {"connector": " x-min "}}', ''],
    [
      'output',
      '"heaters": {"h": {"output": "HEAT1"}}',
      'There is no output "HEAT1" on Bench board A. Did you mean "HEAT0"?',
    ],
    ['an output by its connector', '"heaters": {"h": {"output": "HEAT0"}}', ''],
    [
      'motor connector',
      '"axes": {"x": {"motors": [{"connector": "MY"}]}}',
      'There is no motor connector "MY" on Bench board A. Did you mean "MX"?',
    ],
    ['a motor by its driver socket', '"axes": {"x": {"motors": [{"connector": "X"}]}}', ''],
    [
      'driver socket',
      '"drivers": {"Q": {}}',
      'There is no driver socket "Q" on Bench board A. Did you mean "X"?',
    ],
    [
      'variant',
      '"boardVariant": "early"',
      'There is no variant "early" on Bench board A. There is no variant at all.',
    ],
  ])('%s', (_, members, expected) => expect(dangling(members).join()).toBe(expected));

  it.each([
    ['a motor', '"axes": {"x": {"motors": [{"motor": "smal"}]}}, "motors": {"small": {}}', 'error'],
    ['a device', '"wires": {"w": {"serves": "heaters.bed"}}', 'error'],
    ['a curve that does not ship', '"temperatureSensors": {"t": {"curve": "mine"}}', 'info'],
    ['a slip in a curve', '"temperatureSensors": {"t": {"curve": "ntc-100k-3590"}}', 'warning'],
    ['a driver that does not ship', '"drivers": {"X": {"family": "mine"}}', 'info'],
    ['a driver that is stated', '"drivers": {"X": {"family": "mine", "familyFacts": {}}}', ''],
    ['a material', '"bed": {"material": "wood"}', 'info'],
  ])('%s', (_, members, expected) => {
    expect(
      load(members)
        .problems.map((problem) => problem.severity)
        .join(),
    ).toBe(expected);
  });
});

describe('malformed sheets', () => {
  const cases: readonly [string, string, readonly string[]][] = [
    ['empty', '', ['files/syntax: ']],
    ['blanks', '  \n', ['files/syntax:  ']],
    ['binary', '{\0}', ['files/not-text: \0']],
    ['half-typed', '{"name": "m", "axes": {"x": {"movedMass": "0.', ['files/syntax: "0.']],
    ['duplicate', '{"name": "m", "motors": {"a": {}, "a": {}}}', ['files/duplicate-key: "a"']],
    ['missing unit', '{"name": "m", "axes": {"x": {"movedMass": "0.9"}}}', ['files/unit: 0.9']],
    ['wrong unit', '{"name": "m", "axes": {"x": {"movedMass": "0.9 N"}}}', ['files/unit: N']],
    ['absurd', '{"name": "m", "axes": {"x": {"transmission": {"teeth": -20}}}}', ['files/wrong-shape: -20']],
    ['unknown key', '{"name": "m", "axis": {}}', ['files/unknown-key: "axis"']],
    ['wrong zone', '{"name": "m", "heaters": {"h": {"zone": "nozzle"}}}', ['files/wrong-shape: "nozzle"']],
    [
      'a point without resistance',
      '{"name": "m", "temperatureSensors": {"t": {"table": [{"temperature": "25 °C"}]}}}',
      ['files/wrong-shape: {'],
    ],
  ];
  it.each(cases)('%s', (_, text, expected) => expect(found(text)).toEqual(expected));
});

describe('fitted drivers', () => {
  it('the sheet wins over the board, its cooling reaches all', () => {
    const { sheet } = load(
      '"driversCooled": true, "drivers": {"x": {"senseResistor": "0.05 Ω", "microstepJumpers": 32}}',
    );
    expect(fittedDrivers(board, sheet).get('X')).toMatchObject({
      senseResistor: { value: { nom: 0.05 } },
      microstepJumpers: { value: 32 },
      cooled: { value: true },
      family: { id: 'drv8825' },
      stepPin: { value: 'PD7' },
    });
  });
  it('another family replaces the whole family', () => {
    const { sheet } = load('"drivers": {"X": {"family": "stspin820"}}');
    expect(fittedDrivers(board, sheet).get('X')?.family).toMatchObject({
      id: 'stspin820',
      enableOn: { value: 'high' },
    });
  });
  it('own facts refine the family of the socket', () => {
    const { sheet } = load('"drivers": {"X": {"familyFacts": {"maxRmsStill": "1.1 A"}}}');
    expect(fittedDrivers(board, sheet).get('X')?.family).toMatchObject({
      id: 'drv8825',
      maxRmsStill: { value: { nom: 1.1 } },
      supply: { value: { hi: 45 } },
    });
  });
});

describe('shipped tables', () => {
  // IEC 60228 class 5 at 20 °C; IEC 60204-1, PVC, 40 °C.
  it.each([
    [0.5, 39.0, undefined],
    [0.75, 26.0, 9.8],
    [1.0, 19.5, 11.7],
    [1.5, 13.3, 15.2],
    [2.5, 7.98, 21],
  ])('wire of %d mm²', (size, resistance, capacity) => {
    const row = copperWire().sizes.find(({ area }) => Math.abs(area.value.nom - size * 1e-6) < 1e-12);
    expect(row?.resistance.value.nom).toBeCloseTo(resistance / 1000, 9);
    expect(row?.capacity?.value.nom).toBe(capacity);
  });
  // IEC 60947-5-2: reduction factors as data sheets give them.
  it('metals that an inductive sensor sees', () => {
    expect(materials().get('steel')?.sensingFactor?.value.nom).toBe(1);
    expect(materials().get('aluminium')?.sensingFactor?.value).toMatchObject({ lo: 0.2, hi: 0.5 });
    expect(materials().get('glass')?.sensingFactor).toBeUndefined();
  });
  // TDK/EPCOS B57861S data sheet, R/T characteristic 8016: 10 kΩ at 25 °C, 680 Ω at 100 °C.
  it('curves', () => {
    const folder = new URL('../../schemas/sensors/', import.meta.url);
    const files = readdirSync(folder).map((name) => name.replace(/\.json$/, ''));
    expect([...shippedCurves().keys()].sort()).toEqual(files.sort());
    const table = shippedCurves().get('ntc-10k-8016')?.table ?? [];
    const at = (celsius: number) =>
      table.find(({ temperature }) => temperature.value.nom === celsius)?.resistance.value.nom;
    expect([at(25), at(100)]).toEqual([10_000, 680]);
  });
});
