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
];
