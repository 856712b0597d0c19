import { expect, it } from 'vitest';
import { materials } from '../../server/src/machine/materials';
import { copperWire } from '../../server/src/machine/wireTable';
import { INCH } from '../../server/src/physics/motion';
import * as wire from '../../server/src/physics/wire';
import { parseQuantity } from '../../server/src/units';
import { describeWithTool, runTool } from '../kit/tools';

// Reference: GNU units, a general converter with its own tables of wire gauges (ASTM B258) and copper (IACS, IEC 60028).

/** The values of expressions in a unit each, all in one run. */
function converted(pairs: readonly (readonly [have: string, want: string])[]): number[] {
  const input = pairs.map(([have, want]) => `${have}\n${want}\n`).join('');
  const values = runTool('units', ['--terse', '--digits', '15', '--quiet'], input)
    .split('\n')
    .filter((line) => line.trim() !== '')
    .map(Number);
  expect(values.length).toBe(pairs.length);
  expect(values.every(Number.isFinite)).toBe(true);
  return values;
}

const close = (value: number, reference: number, share: number, about: unknown): void =>
  expect(Math.abs(value / reference - 1), JSON.stringify({ value, reference, about })).toBeLessThan(share);

const GAUGES = Array.from({ length: 41 }, (_, gauge) => gauge);
/** 58 S·m/mm² is 1.72414e-8 Ω·m; IEC 60028 prints 1.7241e-8. */
const ROUNDED = 5e-5;

describeWithTool('units', 'wires and copper: the same figures as GNU units', () => {
  it('gauges 0 to 40: diameter and cross-section, also as a file states them', () => {
    const diameters = converted(GAUGES.map((gauge) => [`wiregauge(${gauge})`, 'm']));
    const areas = converted(GAUGES.map((gauge) => [`circlearea(wiregauge(${gauge})/2)`, 'm^2']));
    for (const gauge of GAUGES) {
      close(wire.gaugeDiameter(gauge), diameters[gauge] as number, 1e-9, gauge);
      close(wire.gaugeArea(gauge), areas[gauge] as number, 1e-9, gauge);
      const stated = parseQuantity(`${gauge} AWG`, 'area');
      close('value' in stated ? stated.value.nom : NaN, areas[gauge] as number, 1e-9, gauge);
    }
  });

  it('resistance of solid copper by gauge', () => {
    const ohms = converted(
      GAUGES.map((gauge) => [`1/copperconductivity/circlearea(wiregauge(${gauge})/2)`, 'ohm/m']),
    );
    for (const gauge of GAUGES)
      close(wire.resistancePerMetre(wire.gaugeArea(gauge)), ohms[gauge] as number, ROUNDED, gauge);
  });

  it('a warm run of wire: resistance, drop and heat', () => {
    const runs = [
      { area: 0.75, length: 0.8, amperes: 4, celsius: 20 },
      { area: 1.5, length: 1.2, amperes: 10, celsius: 60 },
      { area: 2.5, length: 0.4, amperes: 15, celsius: 70 },
    ];
    const resistance = ({ area, length, celsius }: (typeof runs)[number]) =>
      `2*${length} m/(copperconductivity*${area} mm^2)*(1+0.00393*(${celsius}-20))`;
    const ohms = converted(runs.map((run) => [resistance(run), 'ohm']));
    const drops = converted(runs.map((run) => [`${run.amperes} A*${resistance(run)}`, 'V']));
    const watts = converted(runs.map((run) => [`(${run.amperes} A)^2*${resistance(run)}`, 'W']));
    for (const [k, { area, length, amperes, celsius }] of runs.entries()) {
      const loss = wire.runLoss(wire.resistancePerMetre(area * 1e-6), length, amperes, celsius);
      close(loss.resistance, ohms[k] as number, ROUNDED, runs[k]);
      close(loss.drop, drops[k] as number, ROUNDED, runs[k]);
      close(loss.power, watts[k] as number, ROUNDED, runs[k]);
    }
  });

  it('tracks on a board: ohms a square of 1 and 2 oz/ft² copper', () => {
    const thickness = converted([
      ['1 ozcu', 'm'],
      ['2 ozcu', 'm'],
    ]);
    const ohms = converted([
      ['1/(copperconductivity*ozcu)', 'ohm'],
      ['1/(copperconductivity*2 ozcu)', 'ohm'],
    ]);
    for (const k of [0, 1])
      close(wire.sheetResistance(thickness[k] as number), ohms[k] as number, ROUNDED, k);
  });

  it('the shipped table: a stranded conductor has a little more than solid copper of its size', () => {
    const { sizes } = copperWire();
    expect(sizes.length).toBeGreaterThanOrEqual(5);
    const solid = converted(
      sizes.map(({ area }) => [`1/(copperconductivity*${area.value.nom * 1e6} mm^2)`, 'ohm/m']),
    );
    for (const [k, { area, resistance }] of sizes.entries()) {
      // IEC 60228 allows for the lay of the strands and the tolerance of their size: 13 to 16 % in class 5.
      const more = resistance.value.nom / (solid[k] as number) - 1;
      expect(more, `${area.text}`).toBeGreaterThan(0.1);
      expect(more, `${area.text}`).toBeLessThan(0.17);
    }
  });

  it('copper itself: density and heat', () => {
    const [density = NaN, heat = NaN, inch = NaN] = converted([
      ['copperdensity', 'kg/m^3'],
      ['specificheat_copper', 'J/kg/K'],
      ['inch', 'm'],
    ]);
    const copper = materials().get('copper');
    close(copper?.density?.value.nom ?? NaN, density, 1e-9, 'density');
    // Tables differ by as much: 385 in handbooks of heat transfer, 390 here.
    close(copper?.specificHeat?.value.nom ?? NaN, heat, 0.02, 'specific heat');
    close(INCH, inch, 1e-12, 'inch');
  });
});
