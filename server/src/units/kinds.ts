/**
 * Kinds of quantity: the SI unit values are kept in, and the units they are printed in. Absolute temperatures are kept
 * in °C; data rates in bit/s (one baud, since one symbol carries one bit on the links in question); memory in bytes.
 */
export const KINDS = {
  length: { title: 'length', si: 'm', print: ['µm', 'mm', 'm'], example: '2 mm' },
  area: { title: 'area', si: 'm2', print: ['mm²'], example: '0.75 mm²' },
  speed: { title: 'speed', si: 'm/s', print: ['mm/s'], example: '150 mm/s' },
  acceleration: { title: 'acceleration', si: 'm/s2', print: ['mm/s²'], example: '1000 mm/s²' },
  angle: { title: 'angle', si: 'rad', print: ['°'], example: '1.8°' },
  mass: { title: 'mass', si: 'kg', print: ['g', 'kg'], example: '0.9 kg' },
  force: { title: 'force', si: 'N', print: ['N'], example: '3 N' },
  torque: { title: 'torque', si: 'N*m', print: ['mN·m', 'N·m'], example: '0.40 N·m' },
  inertia: { title: 'moment of inertia', si: 'kg*m2', print: ['g·cm²', 'kg·m²'], example: '68 g·cm²' },
  resistance: { title: 'resistance', si: 'ohm', print: ['mΩ', 'Ω', 'kΩ', 'MΩ'], example: '4.7 kΩ' },
  resistancePerLength: { title: 'resistance per length', si: 'ohm/m', print: ['Ω/km'], example: '39 Ω/km' },
  voltage: { title: 'voltage', si: 'V', print: ['mV', 'V', 'kV'], example: '24 V' },
  current: { title: 'current', si: 'A', print: ['µA', 'mA', 'A'], example: '1.2 A' },
  power: { title: 'power', si: 'W', print: ['µW', 'mW', 'W', 'kW'], example: '40 W' },
  energy: { title: 'energy', si: 'J', print: ['mJ', 'J', 'kJ'], example: '200 J' },
  frequency: { title: 'frequency', si: 'Hz', print: ['Hz', 'kHz', 'MHz'], example: '16 MHz' },
  time: { title: 'time', si: 's', print: ['ns', 'µs', 'ms', 's'], example: '20 s' },
  temperature: { title: 'temperature', si: 'degC', print: ['°C'], example: '200 °C' },
  temperatureDifference: { title: 'temperature difference', si: 'degK', print: ['K'], example: '8 K' },
  inductance: { title: 'inductance', si: 'H', print: ['nH', 'µH', 'mH', 'H'], example: '3 mH' },
  capacitance: { title: 'capacitance', si: 'F', print: ['pF', 'nF', 'µF'], example: '100 nF' },
  heatCapacity: { title: 'heat capacity', si: 'J/degK', print: ['J/K'], example: '14 J/K' },
  specificHeat: { title: 'specific heat', si: 'J/kg*degK', print: ['J/(kg·K)'], example: '900 J/(kg·K)' },
  heatConductance: { title: 'heat conductance', si: 'W/degK', print: ['W/K'], example: '0.10 W/K' },
  thermalResistance: { title: 'thermal resistance', si: 'degK/W', print: ['K/W'], example: '40 K/W' },
  density: { title: 'density', si: 'kg/m3', print: ['kg/m³'], example: '1240 kg/m³' },
  volumeFlow: { title: 'volume flow', si: 'm3/s', print: ['mm³/s'], example: '12 mm³/s' },
  dataRate: { title: 'data rate', si: 'bit/s', print: ['Bd'], example: '115200 Bd', exact: true },
  memory: { title: 'amount of memory', si: 'B', print: ['B', 'KiB', 'MiB'], example: '256 KiB' },
  stepsPerLength: { title: 'steps per length', si: '1/m', print: ['steps/mm'], example: '80 steps/mm' },
  stepRate: { title: 'step rate', si: 'Hz', print: ['steps/s'], example: '40000 steps/s', exact: true },
  ratio: { title: 'ratio', si: '', print: ['%'], example: '50 %', bare: true },
  count: { title: 'count', si: '', print: [''], example: '20', bare: true },
} as const satisfies Record<string, KindRecord>;

interface KindRecord {
  /** What the quantity is called in a sentence. */
  readonly title: string;
  /** SI unit in the spelling of the quantities library. */
  readonly si: string;
  /** Units it is printed in, smallest first. */
  readonly print: readonly string[];
  /** A value as a user would write it. */
  readonly example: string;
  /** A plain number is complete. */
  readonly bare?: boolean;
  /** Whole numbers are printed in full and grouped by thousands. */
  readonly exact?: boolean;
}

export type Kind = keyof typeof KINDS;

export const kindRecord = (kind: Kind): KindRecord => KINDS[kind];

export const isKind = (name: string): name is Kind => Object.hasOwn(KINDS, name);
