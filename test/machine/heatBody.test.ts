import { describe, expect, it } from 'vitest';
import { type HeatBody, heatBody } from '../../server/src/machine/heatBody';
import { analyseFixture } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

/** The lump of heat that a zone is, against figures worked out by hand. */

interface Parts {
  readonly heater?: string;
  readonly sheet?: string;
  readonly settings?: string;
}

async function bodyOf({ heater = '', sheet = '', settings = '' }: Parts): Promise<HeatBody> {
  const source = `#define BED_MAX_TEMPERATURE_CELSIUS 110\n${settings}
//- m.machine.json
{ "name": "M"${sheet}, "heaters": { "bed": { "zone": "bed"${heater} } } }`;
  const { machine, findings } = await analyseFixture(readFixture(source), []);
  expect(findings).toEqual([]);
  return heatBody(machine, machine.zones[0]!);
}

const RATED = ', "ratedVoltage": "24 V", "ratedPower": "120 W"';
const SUPPLY = ', "supply": { "voltage": "24 V" }';

describe('power', () => {
  it('P = V²/R: 0.81 and 1.21 times at ±10 % where the supply has no tolerance of its own', async () => {
    const { full } = await bodyOf({ heater: RATED, sheet: SUPPLY });
    expect(full?.nominal.nom).toBeCloseTo(120, 9);
    expect(full?.low.nom).toBeCloseTo(97.2, 9);
    expect(full?.high.nom).toBeCloseTo(145.2, 9);
  });

  it("the supply's own tolerance counts", async () => {
    const { full } = await bodyOf({ heater: RATED, sheet: ', "supply": { "voltage": "24 V ±5 %" }' });
    expect(full?.low.nom).toBeCloseTo(120 * 0.95 ** 2, 9);
    expect(full?.high.nom).toBeCloseTo(120 * 1.05 ** 2, 9);
  });

  it('a measured resistance counts before the label, with its tolerance', async () => {
    const { full } = await bodyOf({ heater: `${RATED}, "resistance": "1.9 Ω ±5 %"`, sheet: SUPPLY });
    expect(full?.nominal.nom).toBeCloseTo(576 / 1.9, 9);
    expect(full?.nominal.lo).toBeCloseTo(576 / 1.995, 9);
    expect(full?.nominal.hi).toBeCloseTo(576 / 1.805, 9);
  });

  it('a 12 V heater on 24 V makes four times as much', async () => {
    const { full } = await bodyOf({
      heater: ', "ratedVoltage": "12 V", "ratedPower": "40 W"',
      sheet: SUPPLY,
    });
    expect(full?.nominal.nom).toBeCloseTo(160, 9);
  });

  it('mains feeds a mains heater, whatever the main supply', async () => {
    const heater = ', "ratedVoltage": "230 V", "ratedPower": "600 W", "alternating": true';
    expect((await bodyOf({ heater, sheet: SUPPLY })).full?.nominal.nom).toBeCloseTo(600, 9);
    const fed = `${heater}, "voltage": "115 V"`;
    expect((await bodyOf({ heater: fed, sheet: SUPPLY })).full?.nominal.nom).toBeCloseTo(150, 9);
  });

  it('a 230 V heater is on mains, whether or not the sheet calls it alternating', async () => {
    const heater = ', "ratedVoltage": "230 V", "ratedPower": "600 W"';
    expect((await bodyOf({ heater, sheet: SUPPLY })).full?.nominal.nom).toBeCloseTo(600, 9);
  });

  it('the power limit of the settings bounds what is asked, not what a shorted switch gives', async () => {
    const body = await bodyOf({
      heater: RATED,
      sheet: SUPPLY,
      settings: '#define BED_HEATER_MAX_DUTY_PERCENT 50',
    });
    expect(body.full?.nominal.nom).toBeCloseTo(120, 9);
    expect(body.asked?.nominal.nom).toBeCloseTo(60, 9);
  });

  it.each([
    ['the supply', { heater: RATED }],
    ['the rating', { sheet: SUPPLY }],
    ['the power', { heater: ', "ratedVoltage": "24 V"', sheet: SUPPLY }],
  ])('unknown without %s', async (_, parts) => {
    expect((await bodyOf(parts)).full).toBeUndefined();
  });
});

describe('heat capacity', () => {
  it('as stated; a bare estimate ±30 %, one with its own range as it is', async () => {
    expect((await bodyOf({ heater: ', "heatCapacity": "700 J/K"' })).heatCapacity?.value).toEqual({
      lo: 700,
      nom: 700,
      hi: 700,
    });
    const bare = ', "heatCapacity": { "value": "700 J/K", "quality": "estimated" }';
    const { heatCapacity } = await bodyOf({ heater: bare });
    expect(heatCapacity?.value.lo).toBeCloseTo(490, 9);
    expect(heatCapacity?.value.hi).toBeCloseTo(910, 9);
    const ranged = ', "heatCapacity": { "value": "700 J/K ±10 %", "quality": "estimated" }';
    expect((await bodyOf({ heater: ranged })).heatCapacity?.value.hi).toBeCloseTo(770, 9);
  });

  it('from masses: 220 × 220 × 3 mm of aluminium and of glass', async () => {
    // 1.452·10⁻⁴ m³ · 2700 kg/m³ = 392 g · 900 J/(kg·K) = 353 J/K; · 2500 = 363 g · 840 = 305 J/K (materials' sources).
    const heater =
      ', "parts": [{ "material": "aluminium", "mass": "392 g" }, { "material": "glass", "mass": "0.363 kg" }, { "mass": "30 g", "specificHeat": "2 J/(g·K)" }]';
    const { heatCapacity } = await bodyOf({ heater });
    expect(heatCapacity?.value.nom).toBeCloseTo(0.392 * 900 + 0.363 * 840 + 60, 6);
    expect(heatCapacity?.value.lo).toBeCloseTo(0.9 * 717.72, 6);
    expect(heatCapacity?.quality).toBe('estimated');
  });

  it('a part whose specific heat nobody knows makes the sum unknown', async () => {
    const heater =
      ', "parts": [{ "material": "aluminium", "mass": "392 g" }, { "material": "stainless", "mass": "30 g" }]';
    expect((await bodyOf({ heater })).heatCapacity).toBeUndefined();
  });

  it('many parts take no longer', async () => {
    const parts = Array.from({ length: 40 }, () => '{ "material": "borosilicate", "mass": "1..2 g" }');
    const { heatCapacity } = await bodyOf({ heater: `, "parts": [${parts.join(',')}]` });
    expect(heatCapacity?.value.lo).toBeCloseTo(40 * 0.001 * 750 * 0.9, 6);
  });
});

describe('heat loss', () => {
  it('from a hold: duty · P/(T − T_a)', async () => {
    // 0.35 · 120 W/(60 − 25) K = 1.2 W/K.
    const heater = `${RATED}, "hold": { "temperature": "60 °C", "duty": "35 %" }`;
    const { heatLoss } = await bodyOf({ heater, sheet: SUPPLY });
    expect(heatLoss?.value.nom).toBeCloseTo(1.2, 9);
    expect(heatLoss?.quality).toBe('measured');
    const room = `${RATED}, "hold": { "temperature": "60 °C", "duty": "35 %", "room": "20 °C" }`;
    expect((await bodyOf({ heater: room, sheet: SUPPLY })).heatLoss?.value.nom).toBeCloseTo(1.05, 9);
  });

  it('is not computed from a hold in a room as warm', async () => {
    const heater = `${RATED}, "hold": { "temperature": "20 °C", "duty": "35 %" }`;
    expect((await bodyOf({ heater, sheet: SUPPLY })).heatLoss).toBeUndefined();
  });

  it('as stated counts before a hold', async () => {
    const heater = `${RATED}, "heatLoss": "1.5 W/K", "hold": { "temperature": "60 °C", "duty": "35 %" }`;
    expect((await bodyOf({ heater, sheet: SUPPLY })).heatLoss?.value.nom).toBe(1.5);
  });
});

describe('temperatures', () => {
  it('25 °C around where nobody says; the settings’ limit, else the job, is the highest target', async () => {
    const body = await bodyOf({});
    expect(body.ambient.value.nom).toBe(25);
    expect(body.ambient.quality).toBe('assumed');
    expect(body.highestTarget?.value.nom).toBe(110);
    const job = await bodyOf({
      settings: '#undef BED_MAX_TEMPERATURE_CELSIUS',
      sheet: ', "job": { "bedTemperature": "60 °C" }, "ambient": "18..28 °C"',
    });
    expect(job.highestTarget?.value.nom).toBe(60);
    expect(job.ambient.value.hi).toBe(28);
  });

  it('a value that the firmware fixes counts where no line sets it', async () => {
    const fixed = (text: string) => `, "firmware": { "fixed": { "bed.maxTemperature": "${text}" } }`;
    const settings = '#undef BED_MAX_TEMPERATURE_CELSIUS';
    expect((await bodyOf({ settings, sheet: fixed('120') })).highestTarget?.value.nom).toBe(120);
    expect((await bodyOf({ settings, sheet: fixed('248 °F') })).highestTarget?.value.nom).toBeCloseTo(120, 9);
    expect((await bodyOf({ settings, sheet: fixed('warm') })).highestTarget).toBeUndefined();
    expect((await bodyOf({ sheet: fixed('120') })).highestTarget?.value.nom).toBe(110);
  });
});
