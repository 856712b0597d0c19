import Qty from 'js-quantities';
import { type Kind, kindRecord } from './kinds';
import { readUnit } from './unitExpression';

/** `si = value·factor + offset`. */
export interface UnitScale {
  readonly factor: number;
  readonly offset: number;
}

export type UnitProblem =
  | { readonly problem: 'unknownUnit'; readonly word: string; readonly suggestion?: string }
  | { readonly problem: 'wrongDimension'; readonly unit: string };

/** Absolute temperatures have their own zero; offsets in °C (0 °C = 273.15 K by definition of the Celsius scale). */
const TEMPERATURE_SCALES: Readonly<Record<string, UnitScale>> = {
  degC: { factor: 1, offset: 0 },
  degK: { factor: 1, offset: -273.15 },
  degF: { factor: 5 / 9, offset: -160 / 9 },
};

/** The same dimension, another quantity: 5 J is no torque, 5 N·m no amount of heat, steps no frequency in baud. */
const REFUSED: Partial<Record<Kind, RegExp>> = { torque: /J|Wh/, energy: /N\*/ };

const cache = new Map<string, UnitScale | UnitProblem>();

/** How `unit` scales to the SI unit of `kind` (°C for absolute temperatures, bit/s for data rates, bytes for memory). */
export function scaleOf(unit: string, kind: Kind): UnitScale | UnitProblem {
  const key = `${kind}|${unit}`;
  const known = cache.get(key);
  if (known) return known;
  const found = findScale(unit, kind);
  // Users' typing must not fill the memory.
  if (cache.size > 2000) cache.clear();
  cache.set(key, found);
  return found;
}

export const isScale = (scale: UnitScale | UnitProblem): scale is UnitScale => 'factor' in scale;

function findScale(unit: string, kind: Kind): UnitScale | UnitProblem {
  const si = kindRecord(kind).si;
  const expression = readUnit(unit);
  if (!expression) return { problem: 'unknownUnit', word: unit };
  if ('unknown' in expression) {
    return { problem: 'unknownUnit', word: expression.unknown, suggestion: expression.suggestion };
  }
  for (const reading of expression.readings) {
    if (kind === 'temperature') {
      const scale = TEMPERATURE_SCALES[reading];
      if (scale) return scale;
      continue;
    }
    if (REFUSED[kind]?.test(reading)) continue;
    const factor = factorBetween(reading, si);
    if (factor !== undefined) return { factor, offset: 0 };
  }
  return { problem: 'wrongDimension', unit };
}

function factorBetween(reading: string, si: string): number | undefined {
  if (reading === '' || reading === '%' || reading === 'ppm') {
    return si === '' ? { '': 1, '%': 0.01, ppm: 1e-6 }[reading] : undefined;
  }
  if (si === '') return undefined;
  try {
    const quantity = Qty(1, reading);
    const target = Qty(1, si);
    if (!quantity.isCompatible(target)) return undefined;
    return tidy(quantity.baseScalar / target.baseScalar);
  } catch {
    return undefined;
  }
}

/** Ratios of powers of ten come out of the division with a last-digit error; exact ones read and print better. */
function tidy(factor: number): number {
  const rounded = Number(factor.toPrecision(14));
  return Math.abs(rounded - factor) <= 1e-15 * Math.abs(factor) * 4 ? rounded : factor;
}

/** Kinds that a unit may belong to when the caller names none; the first that fits decides. */
const GUESSES: readonly Kind[] = [
  'temperature', 'length', 'area', 'speed', 'acceleration', 'angle', 'mass', 'force', 'torque', 'energy', 'inertia',
  'resistance', 'resistancePerLength', 'voltage', 'current', 'power', 'frequency', 'time', 'inductance', 'capacitance',
  'heatCapacity', 'specificHeat', 'heatConductance', 'thermalResistance', 'density', 'volumeFlow', 'dataRate', 'memory',
  'stepsPerLength', 'ratio',
]; // biome-ignore format: a plain list

function scaleOfAny(unit: string, kind?: Kind): UnitScale | undefined {
  for (const candidate of kind ? [kind] : GUESSES) {
    const scale = scaleOf(unit, candidate);
    if (isScale(scale)) return scale;
  }
  return undefined;
}

/**
 * A plain number in `unit`, converted to SI (temperatures to °C, data rates to bit/s, memory to bytes). Undefined when the
 * unit is unknown or not one of `kind`. Without a kind, a bare "K" or "°C" counts as an absolute temperature.
 */
export function toSi(value: number, unit: string, kind?: Kind): number | undefined {
  if (unit.trim() === '') return kind === undefined || kindRecord(kind).bare ? value : undefined;
  const scale = scaleOfAny(unit, kind);
  return scale && value * scale.factor + scale.offset;
}

/** The inverse of `toSi`. */
export function fromSi(si: number, unit: string, kind?: Kind): number | undefined {
  if (unit.trim() === '') return kind === undefined || kindRecord(kind).bare ? si : undefined;
  const scale = scaleOfAny(unit, kind);
  return scale && (si - scale.offset) / scale.factor;
}

/** Whether `unit` is a unit of `kind`; an empty unit is one for kinds that may be plain numbers. */
export const unitExists = (unit: string, kind: Kind): boolean =>
  unit.trim() === '' ? kindRecord(kind).bare === true : isScale(scaleOf(unit, kind));
