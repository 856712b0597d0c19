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
    // The sheet has the pull-up that the machine has stored.
    fires: ['error sensing/pullup-mismatch', 'build/stored-values-win'],
  },
  {
    machine: 'old-twelve-volt',
    // With 1 kΩ the firmware takes 32 counts of leakage, 127 kΩ, for 20 °C.
    what: 'a pull-up of 1 kΩ in the settings',
    edits: [
      { file: 'machine.h', find: 'BED_SENSOR_PULL_UP_OHM 4700', replace: 'BED_SENSOR_PULL_UP_OHM 1000' },
    ],
    fires: ['sensing/pullup-mismatch', 'warning sensing/open-short-undetected'],
  },
  {
    machine: 'old-twelve-volt',
    // IEC 60751: (176 + 4700)²/(4700 · 0.37 · 4096) = 3.4 K a step.
    what: 'a platinum sensor of 100 Ω without an amplifier',
    edits: [
      { file: 'dunlin.machine.json', find: '"curve": "ntc-100k-4267"', replace: '"curve": "pt100"' },
      { file: 'machine.h', find: 'TOOL_0_SENSOR_CURVE ntc_100k_4267', replace: 'TOOL_0_SENSOR_CURVE pt100' },
    ],
    fires: ['error sensing/resolution-coarse'],
  },
  {
    machine: 'old-twelve-volt',
    // 457 Ω at 205 °C: 478²/(4267 · 0.00455 · 0.995 · 4096) = 2.9 K; 32 counts of a short are 787 Ω, 178 °C of 245 °C.
    what: 'a socket with a pull-up of 100 kΩ',
    edits: [
      {
        file: 'tolsta2040.board.json',
        find: '"madeFor": ["tool.0"],\n      "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±1 %"',
        replace: '"madeFor": ["tool.0"],\n      "fitted": [{ "part": "pullUp", "resistance": "100 kΩ ±1 %"',
      },
      {
        file: 'machine.h',
        find: 'TOOL_0_SENSOR_PULL_UP_OHM 4700',
        replace: 'TOOL_0_SENSOR_PULL_UP_OHM 100000',
      },
    ],
    fires: ['sensing/resolution-coarse', 'warning sensing/open-short-undetected'],
  },
  {
    machine: 'moving-bed',
    // 32 counts from the end of 12 bit are −10.4 °C.
    what: 'a lowest reading that only an ideal break falls under',
    edits: [
      {
        file: 'heat.h',
        find: 'GUARD_TOOL_0_MIN_READING_CELSIUS 2',
        replace: 'GUARD_TOOL_0_MIN_READING_CELSIUS -20',
      },
    ],
    fires: ['warning sensing/open-short-undetected'],
  },
  {
    machine: 'two-tools',
    // Count 4095 at 2.2 kΩ: −50.6 °C.
    what: 'a lowest reading that nothing falls under',
    edits: [
      {
        file: 'heat.h',
        find: 'GUARD_TOOL_1_MIN_READING_CELSIUS 5',
        replace: 'GUARD_TOOL_1_MIN_READING_CELSIUS -60',
      },
    ],
    fires: ['error sensing/open-short-undetected'],
  },
  {
    machine: 'moving-bed',
    what: "the tool sensor's pull-up to 5 V",
    edits: [
      {
        file: 'skerry32.board.json',
        find: '"madeFor": ["tool.0"],\n      "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±1 %", "to": "3.3 V"',
        replace:
          '"madeFor": ["tool.0"],\n      "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±1 %", "to": "5 V"',
      },
    ],
    fires: ['error sensing/adc-over-voltage'],
  },
  {
    machine: 'old-twelve-volt',
    what: "the bed sensor's pull-up to 5 V",
    edits: [
      {
        file: 'tolsta2040.board.json',
        find: '"madeFor": ["bed"],\n      "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±1 %", "to": "3.3 V"',
        replace:
          '"madeFor": ["bed"],\n      "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±1 %", "to": "5 V"',
      },
    ],
    fires: ['error sensing/adc-over-voltage'],
  },
  {
    machine: 'moving-bed',
    what: 'heater pins of tool and bed swapped',
    edits: [
      { file: 'pins.h', find: 'TOOL_0_HEATER_PIN PB8', replace: 'TOOL_0_HEATER_PIN PB9' },
      { file: 'pins.h', find: 'BED_HEATER_PIN PB9', replace: 'BED_HEATER_PIN PB8' },
    ],
    fires: ['error sensing/loop-crossed', 'error pins/wiring-disagrees'],
  },
  {
    machine: 'two-tools',
    // Each pin's socket has the other's pull-up.
    what: 'sensor pins of tool 1 and bed swapped',
    edits: [
      { file: 'heat.h', find: 'TOOL_1_SENSOR_PIN PA2', replace: 'TOOL_1_SENSOR_PIN PA3' },
      { file: 'heat.h', find: 'BED_SENSOR_PIN PA3', replace: 'BED_SENSOR_PIN PA2' },
    ],
    fires: ['error sensing/loop-crossed', 'error pins/wiring-disagrees', 'sensing/pullup-mismatch'],
  },
];
