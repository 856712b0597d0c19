import { expect, it } from 'vitest';
import { fromSi, toSi, unitExists } from '../../server/src/units';
import { describeWithTool, runTool } from '../kit/tools';

it('converts plain numbers with a unit name', () => {
  expect(toSi(150, 'mm/s')).toBeCloseTo(0.15, 15);
  expect(toSi(9000, 'mm/min', 'speed')).toBeCloseTo(0.15, 15);
  expect(toSi(80, 'steps/mm', 'stepsPerLength')).toBe(80_000);
  expect(toSi(115_200, 'Bd', 'dataRate')).toBe(115_200);
  expect(toSi(200, '°C')).toBe(200);
  expect(toSi(8, 'K', 'temperatureDifference')).toBe(8);
  expect(toSi(0.5, '', 'ratio')).toBe(0.5);
  expect(toSi(5, '', 'voltage')).toBeUndefined();
  expect(toSi(5, 'V', 'current')).toBeUndefined();
  expect(toSi(5, 'nonsense')).toBeUndefined();
  expect(fromSi(0.15, 'mm/s')).toBeCloseTo(150, 12);
  expect(fromSi(0.15, 'mm/min', 'speed')).toBeCloseTo(9000, 9);
  expect(fromSi(200, '°F', 'temperature')).toBeCloseTo(392, 10);
});

it('knows which units a kind has', () => {
  expect(unitExists('mm/s', 'speed')).toBe(true);
  expect(unitExists('mm/min', 'speed')).toBe(true);
  expect(unitExists('mm', 'speed')).toBe(false);
  expect(unitExists('', 'count')).toBe(true);
  expect(unitExists('', 'speed')).toBe(false);
  expect(unitExists('hz', 'frequency')).toBe(false);
  expect(unitExists('mm//s', 'speed')).toBe(false);
  expect(unitExists('/s', 'frequency')).toBe(false);
});

describeWithTool('units', 'the same as GNU units', () => {
  // Fettle's spelling, GNU units' spelling of the same unit, the SI unit.
  const pairs: [string, string, string][] = [
    ['mm/s', 'mm/s', 'm/s'],
    ['mm/min', 'mm/min', 'm/s'],
    ['mm/s²', 'mm/s^2', 'm/s^2'],
    ['in/min', 'in/min', 'm/s'],
    ['ft', 'ft', 'm'],
    ['mil', 'mil', 'm'],
    ['µm', 'um', 'm'],
    ['mm²', 'mm^2', 'm^2'],
    ['°', 'degree', 'radian'],
    ['g·cm²', 'g cm^2', 'kg m^2'],
    ['oz', 'oz', 'kg'],
    ['lb', 'lb', 'kg'],
    ['N·cm', 'N cm', 'N m'],
    ['kΩ', 'kohm', 'ohm'],
    ['MΩ', 'Mohm', 'ohm'],
    ['mΩ', 'mohm', 'ohm'],
    ['Ω/km', 'ohm/km', 'ohm/m'],
    ['mA', 'mA', 'A'],
    ['Wh', 'W hour', 'J'],
    ['kHz', 'kHz', 'Hz'],
    ['µs', 'us', 's'],
    ['nF', 'nF', 'F'],
    ['µH', 'uH', 'H'],
    ['J/(kg·K)', 'J/(kg K)', 'J/kg/K'],
    ['J/(g·K)', 'J/(g K)', 'J/kg/K'],
    ['W/K', 'W/K', 'W/K'],
    ['K/W', 'K/W', 'K/W'],
    ['g/cm³', 'g/cm^3', 'kg/m^3'],
    ['mm³/s', 'mm^3/s', 'm^3/s'],
    ['mL/min', 'ml/min', 'm^3/s'],
    ['1/mm', '1/mm', '1/m'],
    ['kbit/s', 'kbit/s', 'bit/s'],
    ['KiB', 'KiB', 'byte'],
    ['MB', 'Mbyte', 'byte'],
    ['ppm', 'ppm', '1'],
    ['%', 'percent', '1'],
  ];

  it.each(pairs)('%s', (ours, theirs, si) => {
    const factor = Number(runTool('units', ['-t', '-d', '15', theirs, si]).trim().split('\n')[0]);
    expect(Math.abs((toSi(1, ours) ?? Number.NaN) / factor - 1)).toBeLessThan(1e-9);
  });

  it('absolute temperatures', () => {
    for (const fahrenheit of [-40, 32, 212, 392]) {
      const celsius = Number(runTool('units', ['-t', '-d', '15', `tempF(${fahrenheit})`, 'tempC']).trim());
      expect(toSi(fahrenheit, '°F', 'temperature')).toBeCloseTo(celsius, 9);
    }
  });
});
