import { derive, type Fact } from '../model/fact';
import { betaCurve, type Point, type ResistanceCurve, tableCurve } from '../physics/ntc';
import { platinumCurve } from '../physics/platinum';
import { type ShippedCurve, shippedCurves } from './sensorCurves';
import type { TemperatureSensor } from './sheet';

/** A temperature sensor's law. Thermocouples have no resistance: they need an amplifier and have no `resistance` here. */
export interface SensorCurve {
  /** Id of the shipped curve, when it is one. */
  readonly id?: string;
  readonly title: string;
  readonly kind: 'ntc' | 'platinum' | 'thermocouple';
  readonly resistance?: ResistanceCurve;
  /** Ω at 25 °C and K, for NTCs given by β. */
  readonly r25?: number;
  readonly beta?: number;
  /** True when a β or the points of a table near room temperature stand for the whole range. */
  readonly fromBeta: boolean;
}

/** Curve ids are compared without case and punctuation: a header writes `ntc_100k_3950`. */
const plain = (id: string): string => id.toLowerCase().replace(/[^a-z0-9]/g, '');

export const findShippedCurve = (id: string): ShippedCurve | undefined => {
  for (const curve of shippedCurves().values()) if (plain(curve.id) === plain(id)) return curve;
  return undefined;
};

/** The curve that the settings name; nothing when no shipped curve has that name. */
export function curveOfSettings(fact: Fact<string>): Fact<SensorCurve> | undefined {
  const shipped = findShippedCurve(fact.value);
  return shipped && derive(fact, ofShipped(shipped));
}

/** The curve of the fitted sensor: its own table or β first, then the shipped one it names. */
export function curveOfSensor(sensor: TemperatureSensor): Fact<SensorCurve> | undefined {
  const { kind, r25, beta, r0, curve } = sensor;
  const points = sensor.table.map(
    ({ temperature, resistance }): Point => [temperature.value.nom, resistance.value.nom],
  );
  const table = points.length > 1 ? tableCurve(points) : undefined;
  const basis = curve ?? kind ?? r25 ?? r0;
  if (!basis) return undefined;
  const fact = (value: SensorCurve): Fact<SensorCurve> =>
    derive<unknown, SensorCurve>(basis, value, 'fitted sensor');
  if (table) return fact({ title: 'NTC by its own table', kind: 'ntc', resistance: table, fromBeta: false });
  if (r25 && beta) return fact(ofBeta(r25.value.nom, beta.value.nom));
  if (kind?.value === 'platinum' && r0) return fact(ofPlatinum(r0.value.nom));
  const shipped = curve && findShippedCurve(curve.value);
  return shipped && fact(ofShipped(shipped));
}

function ofShipped(shipped: ShippedCurve): SensorCurve {
  const { id, title, kind } = shipped;
  if (kind === 'thermocouple') return { id, title, kind, fromBeta: false };
  if (kind === 'platinum') return { ...ofPlatinum(shipped.r0?.value.nom ?? Number.NaN), id, title };
  const points = shipped.table.map(
    ({ temperature, resistance }): Point => [temperature.value.nom, resistance.value.nom],
  );
  const table = points.length > 1 ? tableCurve(points) : undefined;
  if (table) return { id, title, kind, resistance: table, fromBeta: false };
  return {
    ...ofBeta(shipped.r25?.value.nom ?? Number.NaN, shipped.beta?.value.nom ?? Number.NaN),
    id,
    title,
  };
}

const ofBeta = (r25: number, beta: number): SensorCurve => ({
  title: `NTC ${r25 / 1000} kΩ, β ${beta} K`,
  kind: 'ntc',
  resistance: betaCurve(r25, beta),
  r25,
  beta,
  fromBeta: true,
});

const ofPlatinum = (r0: number): SensorCurve => ({
  title: `Pt${r0}`,
  kind: 'platinum',
  resistance: platinumCurve(r0),
  fromBeta: false,
});
