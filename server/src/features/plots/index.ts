import type { Machine } from '../../machine/machine';
import type { Reading } from '../../settings/reading';
import { baudErrors } from './baudErrors';
import { heating } from './heating';
import { holdGuard } from './holdGuard';
import { inputLevels } from './inputLevels';
import { type Plotted, type Plotter, plotted } from './plotted';
import { pullUp } from './pullUp';
import { riseGuard } from './riseGuard';
import { sensorCurve } from './sensorCurve';
import { torqueSpeed } from './torqueSpeed';

export { imageOf } from './image';
export type { Plot } from './plot';
export type { Plotted } from './plotted';

/** The plot that says more about a setting than words do. Only a live setting has one: the machine is plotted as it is built. */
export function plotOf(machine: Machine, reading: Reading): Plotted {
  if (reading.entry.state !== 'active') return {};
  const found = PLOTS.find(([pattern]) => pattern.test(reading.concept.id));
  return found ? plotted(machine, reading, found[1], found[2]) : {};
}

/** Whether a rule has all that one of the plots shows. */
export const isPlotted = (rule: string): boolean => PLOTS.some(([, id]) => id === rule);

/** For which settings, with the rule that needs the same facts. */
const PLOTS: readonly (readonly [RegExp, rule: string, Plotter])[] = [
  [/^(?:tool\.\d+|bed)\.sensor\.(?:curve|r25|beta)$/, 'sensing/curve-mismatch', sensorCurve],
  [/^(?:tool\.\d+|bed)\.sensor\.pullUp$/, 'sensing/pullup-mismatch', pullUp],
  [/^axis\.\w+\.(?:maxSpeed|maxAcceleration|motorCurrent)$/, 'motion/torque-short', torqueSpeed],
  [/^(?:tool\.\d+|bed)\.(?:maxTemperature|heater\.power|heater\.maxDuty)$/, 'heating/cannot-reach', heating],
  [/^guard\..+\.rise(?:Window|Temperature|EndsBelow)$/, 'guards/rise-false-trip', riseGuard],
  [/^guard\..+\.hold(?:Window|Band)$/, 'guards/hold-window', holdGuard],
  [
    /^(?:endstop\.\w+\.(?:low|high)|probe|door)\.(?:pin|pull|activeLevel)$/,
    'inputs/level-undefined',
    inputLevels,
  ],
  [/^link\.\w+\.baud$/, 'link/baud-unreachable', baudErrors],
];
