import type { Mistake } from './mistake';

export const reviewMistakes: readonly Mistake[] = [
  {
    machine: 'old-twelve-volt',
    what: 'a new board with another crystal, the clock carried over',
    edits: [{ file: 'tolsta2040.board.json', find: '"crystal": "12 MHz"', replace: '"crystal": "16 MHz"' }],
    fires: ['warning review/board-bound-carried', 'error build/clock-mismatch'],
    base: true,
  },
  {
    machine: 'old-twelve-volt',
    what: "a new board with another pull-up at the bed's sensor, the setting carried over",
    edits: [
      {
        file: 'tolsta2040.board.json',
        find: '"madeFor": ["bed"],\n      "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±1 %"',
        replace: '"madeFor": ["bed"],\n      "fitted": [{ "part": "pullUp", "resistance": "2.2 kΩ ±1 %"',
      },
    ],
    fires: ['error review/board-bound-carried', 'sensing/pullup-mismatch'],
    base: true,
  },
  {
    machine: 'moving-bed',
    what: 'microsteps of the feed doubled, its steps not',
    edits: [{ file: 'motion.h', find: 'AXIS_E0_MICROSTEPS 16', replace: 'AXIS_E0_MICROSTEPS 32' }],
    // The jumpers stayed.
    fires: [
      'error review/coupled-changed-alone',
      'error motion/steps-mismatch',
      'drivers/microstep-unsupported',
    ],
    base: true,
  },
  {
    machine: 'screw-router',
    what: 'homing to the other side, the position not',
    edits: [{ file: 'settings.h', find: 'AXIS_X_HOME_SIDE LOW', replace: 'AXIS_X_HOME_SIDE HIGH' }],
    // By its position it stands at the low end when it is at the high one: the rest of the travel lies behind the switch.
    fires: ['review/coupled-changed-alone', 'error motion/travel-outside-frame'],
    base: true,
  },
  {
    machine: 'moving-bed',
    what: 'a longer rise window of the tool',
    edits: [
      { file: 'heat.h', find: 'GUARD_TOOL_0_RISE_WINDOW_S 20', replace: 'GUARD_TOOL_0_RISE_WINDOW_S 25' },
    ],
    fires: ['warning review/guard-weakened'],
    base: true,
  },
  {
    machine: 'coupled-belts',
    what: 'the watchdog switched off for a test',
    edits: [{ file: 'settings.h', find: 'GUARD_WATCHDOG_ENABLED 1', replace: 'GUARD_WATCHDOG_ENABLED 0' }],
    fires: ['error review/guard-weakened', 'error guards/disabled'],
    base: true,
  },
  {
    machine: 'moving-bed',
    what: 'a firmware that fixes the hold window of the bed',
    edits: [
      { file: 'heat.h', find: '#define GUARD_BED_HOLD_WINDOW_S 60\n', replace: '' },
      {
        file: 'plover.machine.json',
        find: '"version": "2.3",',
        replace: '"version": "2.3",\n    "fixed": { "guard.bed.holdWindow": "90 s" },',
      },
    ],
    fires: ['review/no-counterpart'],
    base: true,
  },
  {
    machine: 'moving-bed',
    what: 'a firmware that fixes the depth of the planner',
    edits: [
      { file: 'motion.h', find: '#define MOTION_PLANNER_DEPTH 32\n', replace: '' },
      {
        file: 'plover.machine.json',
        find: '"version": "2.3",',
        replace: '"version": "2.3",\n    "fixed": { "motion.plannerDepth": "24" },',
      },
    ],
    fires: ['warning review/no-counterpart'],
    base: true,
  },
];
