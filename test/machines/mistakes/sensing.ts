import type { Mistake } from './mistake';

export const sensingMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    // A display of 200 °C is 223 °C in the block (worked example).
    what: 'the curve of another bead',
    edits: [
      {
        file: 'heat.h',
        find: 'TOOL_0_SENSOR_CURVE ntc_100k_3950',
        replace: 'TOOL_0_SENSOR_CURVE ntc_100k_4267',
      },
    ],
    fires: ['error sensing/curve-mismatch'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'a curve that reads high',
    edits: [
      {
        file: 'machine.h',
        find: 'TOOL_0_SENSOR_CURVE ntc_100k_4267',
        replace: 'TOOL_0_SENSOR_CURVE ntc_100k_3950',
      },
    ],
    fires: ['warning sensing/curve-mismatch'],
  },
  {
    machine: 'two-tools',
    what: 'the pull-up of the old board',
    edits: [
      { file: 'heat.h', find: 'TOOL_1_SENSOR_PULL_UP_OHM 2200', replace: 'TOOL_1_SENSOR_PULL_UP_OHM 4700' },
    ],
    fires: ['error sensing/pullup-mismatch'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'a pull-up of 1 kΩ in the settings',
    edits: [
      { file: 'machine.h', find: 'BED_SENSOR_PULL_UP_OHM 4700', replace: 'BED_SENSOR_PULL_UP_OHM 1000' },
    ],
    // The firmware takes an open input for 19.7 °C when a little leaks.
    fires: ['sensing/pullup-mismatch', 'sensing/open-short-undetected'],
  },
];
