import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import boardSchema from '../../schemas/board.schema.json';
import { chipIds, shippedChip } from '../../server/src/board/chips';
import { driverFamilyIds, shippedDriver } from '../../server/src/board/drivers';
import { loadBoard } from '../../server/src/board/load';
import { validateByLibrary } from '../syntax/json/library';

const uri = 'file:///a.board.json';
const load = (members: string) => loadBoard(uri, `{"name": "b", ${members}}`);
const found = (text: string): string[] =>
  loadBoard(uri, text).problems.map(({ id, place }) => `${id}: ${text.slice(place.start, place.end)}`);

describe('example', () => {
  const text = readFileSync(new URL('./example.board.json', import.meta.url), 'utf8');
  it('loads without a problem', () => expect(loadBoard(uri, text).problems).toEqual([]));
  it('passes a general validator', async () =>
    expect(await validateByLibrary(boardSchema, text)).toEqual([]));
  it('loads with Windows line ends and a byte order mark', () => {
    expect(loadBoard(uri, `\uFEFF${text.replaceAll('\n', '\r\n')}`).problems).toEqual([]);
  });
});

describe('chip', () => {
  it.each(chipIds)('%s is loaded whole', (id) => {
    const chip = shippedChip(id);
    expect(chip).toMatchObject({ id });
    for (const fact of [chip?.pullUp, chip?.adcBits, chip?.maxClock, chip?.ram, chip?.uart, chip?.pins])
      expect(fact).toBeDefined();
  });

  // ATmega164P/324P/644P data sheet, DC characteristics: VIL 0.3 VCC, VIH 0.6 VCC (from memory); 5 V: 1.5 and 3.0 V.
  it('shares of the supply become volts at the logic voltage', () => {
    const { profile } = load('"chip": "atmega1284p", "logicVoltage": "5 V"');
    expect(profile?.chip?.vil?.value.nom).toBeCloseTo(1.5, 9);
    expect(profile?.chip?.vih?.value.nom).toBeCloseTo(3.0, 9);
    expect(profile?.chip?.vil?.quality).toBe('datasheet');
  });

  // ST DocID 15060, table 35: production-tested VIL 0.35 VDD, VIH 0.65 VDD.
  it('a supply with tolerance gives levels with tolerance', () => {
    const vil = load('"chip": "stm32f103", "logicVoltage": "3.3 V ±5 %"').profile?.chip?.vil?.value;
    expect(vil?.lo).toBeCloseTo(0.35 * 3.3 * 0.95, 9);
    expect(vil?.nom).toBeCloseTo(0.35 * 3.3, 9);
    expect(vil?.hi).toBeCloseTo(0.35 * 3.3 * 1.05, 9);
  });

  it('without a logic voltage there are no levels', () => {
    expect(load('"chip": "stm32f103"').profile?.chip?.vil).toBeUndefined();
  });

  it('what the profile says wins, with its place', () => {
    const { profile, problems } = load(
      '"chip": "stm32f103", "logicVoltage": "3.3 V", "chipFacts": {"vil": "0.99 V", "flash": "64 KiB"}',
    );
    expect(problems).toEqual([]);
    expect(profile?.chip?.vil).toMatchObject({ value: { nom: 0.99 }, quality: 'stated', place: { uri } });
    expect(profile?.chip?.flash?.value.nom).toBe(65536);
    expect(profile?.chip?.vih?.value.nom).toBeCloseTo(0.65 * 3.3, 9);
  });

  it('another chip may be stated whole', () => {
    const { profile, problems } = load(
      '"chip": "mine", "chipFacts": {"family": "F", "vil": "1 V", "uart": {"kind": "single", "oversampling": [1], "maxDivisor": 65535, "minDivisor": 16}}',
    );
    expect(problems).toEqual([]);
    expect(profile?.chip).toMatchObject({ id: 'mine', family: 'F', uart: { kind: 'single' } });
  });

  it('a name that no data ship for is told, not refused', () => {
    expect(load('"chip": "mine"').problems).toMatchObject([
      { id: 'files/dangling-reference', severity: 'info' },
    ]);
    expect(load('"chip": "stm32f130"').problems).toMatchObject([{ severity: 'warning' }]);
    expect(load('"chip": "stm32f130"').problems[0]?.candidates?.[0]).toBe('stm32f103');
  });
});

describe('pins', () => {
  const text =
    '"chip": "stm32f103", "logicVoltage": "3.3 V", "connectors": {"J1": {"pin": "pa8"}}, "pins": {"D2": {"chipPin": "PA2", "vMax": "3.6 V"}}';
  const pins = load(text).profile?.pins;
  it('those that parts name are led out; keys are in capitals', () =>
    expect([...(pins?.keys() ?? [])]).toEqual(['D2', 'PA8']));
  it('have the facts of the chip', () => {
    // ST open pin data, STM32F103R(8-B)Tx.xml: PA8 is TIM1_CH1; DS5319 Rev 20, table 5: it stands 5 V.
    expect(pins?.get('PA8')).toMatchObject({
      name: 'pa8',
      timer: { value: 'TIM1' },
      channel: { value: '1' },
      interruptLine: { value: '8' },
      tolerant5V: { value: true },
      vMax: { value: { nom: 5.5 } },
      capabilities: ['digital', 'pwm', 'interrupt'],
    });
  });
  it("by the chip's name for them, the profile wins", () => {
    expect(pins?.get('D2')).toMatchObject({
      timer: { value: 'TIM2' },
      vMax: { value: { nom: 3.6 }, quality: 'stated' },
    });
  });
  it("a pin's own pulls, where they differ from the chip's", () => {
    const f407 = load('"chip": "stm32f407", "connectors": {"J1": {"pin": "PB12"}, "J2": {"pin": "PB13"}}')
      .profile?.pins;
    // ST DocID 022152 Rev 2, table 44: 8 to 15 kΩ at PA10 and PB12, 30 to 50 kΩ elsewhere.
    expect(f407?.get('PB12')?.pullUp?.value).toMatchObject({ lo: 8e3, nom: 11e3, hi: 15e3 });
    expect(f407?.get('PB12')?.pullDown?.value).toMatchObject({ lo: 8e3, nom: 11e3, hi: 15e3 });
    expect(f407?.get('PB13')?.pullUp?.value).toMatchObject({ lo: 30e3, nom: 40e3, hi: 50e3 });
  });
  it('a pin that neither chip nor profile has', () => {
    const { problems } = load('"chip": "stm32f103", "connectors": {"J1": {"pin": "PA88"}}');
    expect(problems).toMatchObject([{ id: 'files/dangling-reference', severity: 'error' }]);
    expect(problems[0]?.candidates?.[0]).toBe('PA8');
  });
});

describe('rails', () => {
  const rails = '"rails": {"5 V": {"voltage": "5 V ±5 %"}, "fan": {"voltage": "12 V"}}';
  const output = (voltage: string) => load(`${rails}, "outputs": {"F": {"voltage": "${voltage}"}}`);
  it('a name that looks like a voltage is the rail', () =>
    expect(output('5 V').profile?.outputs.get('F')?.voltage?.value.hi).toBeCloseTo(5.25, 9));
  it('a name', () => expect(output('fan').profile?.outputs.get('F')?.voltage?.value.nom).toBe(12));
  it('a voltage', () => expect(output('24 V').profile?.outputs.get('F')?.voltage?.value.nom).toBe(24));
  it('the main supply, whose voltage is on the machine sheet', () =>
    expect(output('supply')).toMatchObject({ problems: [], profile: {} }));
  it('an unknown one', () =>
    expect(output('fann').problems).toMatchObject([
      {
        id: 'files/dangling-reference',
        message: 'There is no rail "fann" in this board profile. Did you mean "fan"?',
      },
    ]));
  it('pull-ups lead to the logic supply unless the profile says otherwise', () => {
    const { profile } = load(
      '"logicVoltage": "3.3 V", "connectors": {"J": {"fitted": [{"part": "pullUp", "resistance": "10 kΩ"}]}}',
    );
    expect(profile?.connectors.get('J')?.fitted[0]).toMatchObject({
      to: { value: { nom: 3.3 } },
      resistance: { label: 'pull-up at J (board profile)' },
    });
  });
});

describe('drivers', () => {
  it.each(driverFamilyIds)('%s is loaded whole', (id) => {
    const driver = shippedDriver(id);
    for (const fact of [
      driver?.microsteps,
      driver?.minHigh,
      driver?.minLow,
      driver?.minDirectionSetup,
      driver?.supply,
      driver?.current?.kind,
    ])
      expect(fact).toBeDefined();
  });
  it("a socket's own facts win over the family's", () => {
    const { profile } = load(
      '"drivers": {"X": {"family": "DRV8825", "familyFacts": {"maxRmsStill": "1.2 A", "minHigh": "3 µs"}}}',
    );
    expect(profile?.drivers.get('X')?.family).toMatchObject({
      id: 'drv8825',
      maxRmsStill: { value: { nom: 1.2 } },
      minHigh: { text: '3 µs' },
      minLow: { text: '1.9 µs' },
    });
  });
});

describe('malformed profiles', () => {
  const cases: readonly [string, string, readonly string[]][] = [
    ['empty', '', ['files/syntax: ']],
    ['binary', '\x7fELF\x02\0', ['files/not-text: \x02']],
    ['no name', '{}', ['files/wrong-shape: {']],
    ['half-typed', '{"name": "b", "crystal": ', ['files/syntax:  ']],
    [
      'a connector that is nowhere',
      '{"name": "b", "outputs": {"O": {"connector": "J1"}}}',
      ['files/dangling-reference: "J1"'],
    ],
    [
      'a fuse that is nowhere',
      '{"name": "b", "outputs": {"O": {"fuse": "F1"}}}',
      ['files/dangling-reference: "F1"'],
    ],
    [
      'a strange count of axes',
      '{"name": "b", "stepRates": {"many": "1 kHz"}}',
      ['files/wrong-shape: "many"'],
    ],
    [
      'a strange contact',
      '{"name": "b", "drivers": {"X": {"order": ["A", "B", "C", "D"]}}}',
      [
        'files/wrong-shape: "A"',
        'files/wrong-shape: "B"',
        'files/wrong-shape: "C"',
        'files/wrong-shape: "D"',
      ],
    ],
    ['the unit of another quantity', '{"name": "b", "crystal": "16 s"}', ['files/unit: s']],
  ];
  it.each(cases)('%s', (_, text, expected) => expect(found(text)).toEqual(expected));
  it('a broken part costs that part only', () => {
    const { profile, problems } = load(
      '"crystal": "16", "logicVoltage": "5 V", "connectors": {"J1": {"pin": 4, "supply": "5 V"}}',
    );
    expect(problems).toHaveLength(2);
    expect(profile).toMatchObject({ logicVoltage: { value: { nom: 5 } } });
    expect(profile?.connectors.get('J1')).toMatchObject({ supply: { value: { nom: 5 } } });
  });
});

// The loader checks shape by its own walk over the schema; a general validator must agree on what is right and what is not.
describe('agrees with a general validator', () => {
  const members = [
    '"crystal": "16 MHz"',
    '"crystal": {"value": "16 MHz"}',
    '"crystal": {"value": "16 MHz", "quality": "good"}',
    '"crystal": {"quality": "measured"}',
    '"crystal": true',
    '"crystal": ["16 MHz"]',
    '"clockTolerance": 0.01',
    '"clockTolerance": "1 %"',
    '"clockSource": "crystal"',
    '"clockSource": "quartz"',
    '"clockSource": 1',
    '"uarts": []',
    '"uarts": {}',
    '"uarts": [{}]',
    '"uarts": [{"port": 0}]',
    '"uarts": [{"port": 0.5}]',
    '"uarts": [{"port": 0, "connector": null}]',
    '"pins": {"P 1": {}}',
    '"pins": {"P1": {}}',
    '"pins": {"P1": {"capabilities": ["digital"]}}',
    '"pins": {"P1": {"capabilities": ["fly"]}}',
    '"pins": {"P1": {"shareable": "yes"}}',
    '"stepRates": {"1": "10 kHz"}',
    '"stepRates": {"0": "10 kHz"}',
    '"nonsense": 1',
    '"connectors": {"J": {"fitted": [{}]}}',
    '"connectors": {"J": {"fitted": [{"part": "pullUp"}]}}',
    '"buildTargets": [1]',
    '"note": "n"',
    '"note": ["n"]',
    '"memory": {"flashBase": 4096}',
    '"memory": {"flashBase": "0x8000000"}',
    '"drivers": {"X": {"order": ["A+"]}}',
    '"drivers": {"X": {"microstepJumpers": 0}}',
    '"drivers": {"X": {"familyFacts": {"microsteps": [1.5]}}}',
  ];
  it.each(members)('%s', async (member) => {
    const text = `{"name": "b", ${member}}`;
    const shape = loadBoard(uri, text).problems.filter(
      ({ id }) => id === 'files/wrong-shape' || id === 'files/unknown-key',
    );
    expect(shape.length > 0).toBe((await validateByLibrary(boardSchema, text)).length > 0);
  });
});
