/** Step rates. m/s, steps a metre, Hz, s. */

export const stepRate = (speed: number, stepsPerMetre: number): number => Math.abs(speed) * stepsPerMetre;

export const speedAtRate = (rate: number, stepsPerMetre: number): number => rate / stepsPerMetre;

/** Path speed at which `axes` equal axes on their common diagonal make `totalRate` steps a second between them. */
export const diagonalSpeedAtTotalRate = (totalRate: number, stepsPerMetre: number, axes: number): number =>
  (totalRate / axes / stepsPerMetre) * Math.sqrt(axes);

/** Largest motor speed of coupled belts for a path speed in any direction: √2·v on the 45° line. */
export const coupledBeltSpeed = (pathSpeed: number): number => Math.SQRT2 * pathSpeed;

export const cyclesPerStep = (clock: number, rate: number): number => clock / rate;

/** Turns a second. */
export const turnsPerSecond = (speed: number, travelPerTurn: number): number => speed / travelPerTurn;

export const fullStepRate = (rate: number, microsteps: number): number => rate / microsteps;

/** Highest step rate of a driver that asks for a least high and low time. */
export const highestStepRate = (minHigh: number, minLow: number): number => 1 / (minHigh + minLow);

/** Low time that remains at a rate with a pulse width; may be negative. */
export const lowTime = (rate: number, pulseWidth: number): number => 1 / rate - pulseWidth;
