import type { InputState } from '../physics/inputCorners';
import { levelOf } from '../physics/logic';
import type { InputCircuit } from './inputCircuit';

/** What the chip reads in one state of the sensor, over all corners of the facts. */
export interface StateLevel {
  /** The level that every corner has; absent when they differ or one is undefined. */
  readonly level?: 'low' | 'high';
  /** At which corners the level is undefined or nothing sets it. */
  readonly undefinedAt: 'none' | 'some' | 'all';
  readonly floating: 'never' | 'somewhere' | 'everywhere';
}

export function stateLevel(circuit: InputCircuit, state: InputState): StateLevel {
  const solution = circuit.solve(state);
  const thresholds = { vil: circuit.vil.value.nom, vih: circuit.vih.value.nom };
  const levels = solution.corners.map((corner) =>
    corner.floating ? 'undefined' : levelOf(corner.pin, thresholds),
  );
  const [first] = levels;
  const same = levels.every((level) => level === first);
  const undefinedCount = levels.filter((level) => level === 'undefined').length;
  return {
    level: same && first !== 'undefined' ? first : undefined,
    undefinedAt: undefinedCount === levels.length ? 'all' : same ? 'none' : 'some',
    floating: solution.floating,
  };
}
