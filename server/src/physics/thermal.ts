/**
 * Lumped heat balance: C·dT/dt = P − G·(T − T_a). C in J/K, G in W/K, P in W, temperatures in °C, times in s.
 * Source: heat-transfer handbooks. One body, constant G: far above the point where G was measured T∞ reads high.
 */

export interface Body {
  readonly heatCapacity: number;
  readonly conductance: number;
  readonly ambient: number;
}

/** Where the body settles; Infinity without losses. */
export const settledTemperature = (body: Body, power: number): number =>
  body.conductance > 0
    ? body.ambient + power / body.conductance
    : power > 0
      ? Number.POSITIVE_INFINITY
      : Number.NaN;

export const thermalTime = (body: Body): number => body.heatCapacity / body.conductance;

/** T(t) from `start`. */
export function temperatureAfter(body: Body, power: number, start: number, seconds: number): number {
  if (body.conductance === 0) return start + (power * seconds) / body.heatCapacity;
  const end = settledTemperature(body, power);
  return end - (end - start) * Math.exp(-seconds / thermalTime(body));
}

/** Seconds to reach a temperature; Infinity when it is never reached. */
export function timeToReach(body: Body, power: number, start: number, target: number): number {
  if (target === start) return 0;
  if (body.conductance === 0) {
    const time = ((target - start) * body.heatCapacity) / power;
    return time >= 0 ? time : Number.POSITIVE_INFINITY;
  }
  const end = settledTemperature(body, power);
  const ratio = (end - start) / (end - target);
  return ratio > 1 ? thermalTime(body) * Math.log(ratio) : Number.POSITIVE_INFINITY;
}

/** Gain within a window, K. */
export const riseWithin = (body: Body, power: number, start: number, seconds: number): number =>
  temperatureAfter(body, power, start, seconds) - start;

/** K/s with no losses. */
export const losslessRate = (heatCapacity: number, power: number): number => power / heatCapacity;

/** Heat capacity of solids, J/K: Σ m·c. kg and J/(kg·K). */
export const heatCapacityOf = (
  parts: readonly { readonly mass: number; readonly specificHeat: number }[],
): number => parts.reduce((sum, part) => sum + part.mass * part.specificHeat, 0);

/** kg of a plate or block; m and kg/m³. */
export const massOf = (length: number, width: number, height: number, density: number): number =>
  length * width * height * density;

/** W/K from the duty that holds a temperature. */
export const conductanceFromHold = (duty: number, power: number, celsius: number, ambient: number): number =>
  (duty * power) / (celsius - ambient);

/** Power to hold a temperature, W. */
export const holdPower = (conductance: number, celsius: number, ambient: number): number =>
  conductance * (celsius - ambient);

/** Power to bring a flow (m³/s) of density kg/m³ and specific heat J/(kg·K) from ambient to a temperature, W. */
export const flowPower = (
  flow: number,
  density: number,
  specificHeat: number,
  celsius: number,
  ambient: number,
): number => flow * density * specificHeat * (celsius - ambient);

/** Flow, m³/s, that a heater of `power` W can feed at a share of its power. */
export function flowLimit(
  power: number,
  share: number,
  conductance: number,
  density: number,
  specificHeat: number,
  celsius: number,
  ambient: number,
): number {
  const spare = share * power - holdPower(conductance, celsius, ambient);
  return spare / (density * specificHeat * (celsius - ambient));
}

/** Time until a sensor that fell out (time constant `lag`) shows `band` K less, s: τ·ln((T − T_a)/(T − T_a − band)). */
export function sensorFallTime(lag: number, celsius: number, ambient: number, band: number): number {
  const above = celsius - ambient;
  return band < above ? lag * Math.log(above / (above - band)) : Number.POSITIVE_INFINITY;
}
