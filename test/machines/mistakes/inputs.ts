import type { Mistake } from './mistake';

export const inputsMistakes: readonly Mistake[] = [
  {
    machine: 'coupled-belts',
    // 0.3 · 3.3 V = 0.99 V is the highest low level.
    what: 'a probe that does not pull low enough',
    edits: [{ file: 'merlin.machine.json', find: '"value": "0.3 V"', replace: '"value": "1.4 V"' }],
    fires: ['error inputs/level-undefined'],
  },
  {
    machine: 'two-tools',
    // 23 V · 1.0 / 11.0 = 2.1 V; high begins at 2.31 V.
    what: 'a divider that takes too much',
    edits: [
      { file: 'godwit.machine.json', find: '"lower": "1.5 kΩ ±1 %"', replace: '"lower": "1.0 kΩ ±1 %"' },
    ],
    fires: ['error inputs/level-undefined'],
  },
  {
    machine: 'moving-bed',
    what: 'a switch that joins to the supply beside a pull-up',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"contact": "NO",\n      "joins": "0 V"',
        replace: '"contact": "NO",\n      "joins": "supply"',
      },
    ],
    fires: ['error inputs/stuck-level'],
  },
  {
    machine: 'coupled-belts',
    what: 'a PNP sensor beside a pull-up',
    edits: [
      {
        file: 'merlin.machine.json',
        find: '"kind": "contact",\n      "contact": "NC",\n      "joins": "0 V"',
        replace: '"kind": "pnp",\n      "contact": "NO",\n      "drop": "0.9 V",\n      "leakage": "≤ 10 µA"',
      },
    ],
    fires: ['error inputs/stuck-level'],
  },
  {
    machine: 'two-tools',
    // (23 V − 3.6 V) / 1 kΩ = 19 mA; the chip takes 5 mA.
    what: 'the divider left out',
    edits: [
      {
        file: 'godwit.machine.json',
        find: '"divider": { "upper": "10 kΩ ±1 %", "lower": "1.5 kΩ ±1 %" },',
        replace: '',
      },
    ],
    fires: ['error inputs/over-voltage', 'inputs/level-undefined'],
  },
  {
    machine: 'coupled-belts',
    // (24/10 + 3.3/4.7) / (1/10 + 1/4.7) = 9.9 V.
    what: 'a probe that pulls up to its own supply',
    edits: [
      {
        file: 'merlin.machine.json',
        find: '"value": "0.3 V", "quality": "measured" },',
        replace: '"value": "0.3 V", "quality": "measured" },\n      "insidePullUp": "10 kΩ",',
      },
    ],
    fires: ['error inputs/over-voltage'],
  },
  {
    machine: 'moving-bed',
    what: 'the level of a switch of the other kind',
    edits: [
      {
        file: 'motion.h',
        find: 'ENDSTOP_Y_LOW_ACTIVE_LEVEL HIGH',
        replace: 'ENDSTOP_Y_LOW_ACTIVE_LEVEL LOW',
      },
    ],
    fires: ['error inputs/polarity-inverted'],
  },
  {
    machine: 'screw-router',
    what: 'the level of one switch turned round',
    edits: [
      {
        file: 'settings.h',
        find: 'ENDSTOP_Z_HIGH_ACTIVE_LEVEL HIGH',
        replace: 'ENDSTOP_Z_HIGH_ACTIVE_LEVEL LOW',
      },
    ],
    fires: ['error inputs/polarity-inverted'],
  },
  {
    machine: 'moving-bed',
    what: 'a pull that a fitted one outdoes',
    edits: [{ file: 'motion.h', find: 'ENDSTOP_X_LOW_PULL NONE', replace: 'ENDSTOP_X_LOW_PULL UP' }],
    fires: ['info inputs/pull-without-effect'],
  },
  {
    machine: 'two-tools',
    what: 'a pull-up beside a fitted one',
    edits: [{ file: 'motion.h', find: 'ENDSTOP_X_LOW_PULL NONE', replace: 'ENDSTOP_X_LOW_PULL UP' }],
    fires: ['info inputs/pull-without-effect'],
  },
  {
    machine: 'moving-bed',
    // Open, the pin reads high, as a free switch does; lead angle atan(8/7π) = 20°, friction angle 8.8°: Z falls onto the bed.
    what: 'a normally open switch below a falling axis',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"watches": "endstop.z.low",\n      "kind": "contact",\n      "contact": "NC"',
        replace: '"watches": "endstop.z.low",\n      "kind": "contact",\n      "contact": "NO"',
      },
      {
        file: 'motion.h',
        find: 'ENDSTOP_Z_LOW_ACTIVE_LEVEL HIGH',
        replace: 'ENDSTOP_Z_LOW_ACTIVE_LEVEL LOW',
      },
    ],
    fires: ['warning inputs/broken-wire'],
  },
  {
    machine: 'screw-router',
    what: 'a door whose cut wire reads shut',
    edits: [
      {
        file: 'chough.machine.json',
        find: '"watches": "door",\n      "kind": "contact",\n      "contact": "NC"',
        replace: '"watches": "door",\n      "kind": "contact",\n      "contact": "NO"',
      },
      { file: 'settings.h', find: 'DOOR_ACTIVE_LEVEL HIGH', replace: 'DOOR_ACTIVE_LEVEL LOW' },
    ],
    fires: ['error inputs/broken-wire'],
  },
  {
    machine: 'moving-bed',
    // 40 mm/s · 60 ms = 2.4 mm; the switch has 2 mm.
    what: 'a debounce time of another order',
    edits: [
      { file: 'motion.h', find: 'ENDSTOP_X_LOW_DEBOUNCE_MS 2', replace: 'ENDSTOP_X_LOW_DEBOUNCE_MS 60' },
    ],
    fires: ['error inputs/filter-overshoot'],
  },
  {
    machine: 'screw-router',
    // 40² / (2 · 250 mm/s²) = 3.2 mm of braking; the switch has 2 mm.
    what: 'homing at full speed with a slow screw',
    edits: [
      {
        file: 'settings.h',
        find: 'AXIS_X_HOMING_SPEED_MM_PER_S 15',
        replace: 'AXIS_X_HOMING_SPEED_MM_PER_S 40',
      },
    ],
    fires: ['error inputs/filter-overshoot'],
  },
  {
    machine: 'coupled-belts',
    // Made for 10 V and more; 5 V is under 0.8 · 10 V.
    what: 'a probe on the 5 V contact',
    edits: [
      {
        file: 'merlin.machine.json',
        find: '"supply": "supply",\n      "supplyRange": "10..30 V"',
        replace: '"supply": "5 V",\n      "supplyRange": "10..30 V"',
      },
    ],
    fires: ['error inputs/sensor-supply'],
  },
  {
    machine: 'two-tools',
    what: 'a 5 V probe on the main supply',
    edits: [
      {
        file: 'godwit.machine.json',
        find: '"supplyRange": "10..30 V"',
        replace: '"supplyRange": "4.5..5.5 V"',
      },
    ],
    fires: ['error inputs/sensor-supply'],
  },
  {
    machine: 'moving-bed',
    // 24 V in 0.2 µs over 4 pF of 44 pF, held by 4.7 kΩ: about 1.4 V; 3.3 V are 1.2 V above the lowest high level.
    what: 'no debounce beside the motor wires',
    edits: [
      { file: 'motion.h', find: 'ENDSTOP_Z_LOW_DEBOUNCE_MS 2', replace: 'ENDSTOP_Z_LOW_DEBOUNCE_MS 0' },
    ],
    fires: ['info inputs/weak-pull-long-wire'],
  },
  {
    machine: 'moving-bed',
    what: 'a debounce time that nobody set',
    edits: [
      {
        file: 'motion.h',
        find: '#define ENDSTOP_X_LOW_DEBOUNCE_MS 2',
        replace: '// #define ENDSTOP_X_LOW_DEBOUNCE_MS 2',
      },
    ],
    fires: ['hint inputs/weak-pull-long-wire'],
  },
  {
    machine: 'coupled-belts',
    // Steel at 3.24 to 4.84 mm less 4 mm of glass: at most 0.84 mm; the face is 1.5 mm above the nozzle.
    what: 'a glass plate on the steel sheet',
    edits: [{ file: 'merlin.machine.json', find: '"cover": "0 mm"', replace: '"cover": "4 mm"' }],
    fires: ['error inputs/target-metal'],
  },
  {
    machine: 'two-tools',
    // 0.4 · 0.81…1.21 · 2 mm = 0.65 to 0.97 mm; the face is 1.2 mm above the nozzle.
    what: 'a small sensor over aluminium',
    edits: [
      { file: 'godwit.machine.json', find: '"ratedDistance": "8 mm"', replace: '"ratedDistance": "2 mm"' },
    ],
    fires: ['error inputs/target-metal'],
  },
];
