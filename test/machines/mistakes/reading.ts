import type { Mistake } from './mistake';

export const readingMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    // 200 · 16 / 2 · 20 = 32 000 instead of 80; at 200 mm/s 6.4 MHz.
    what: 'a product without parentheses',
    edits: [
      { file: 'motion.h', find: '#define BELT_TRAVEL_MM (2 * 20)', replace: '#define BELT_TRAVEL_MM 2 * 20' },
    ],
    fires: [
      'reading/missing-parentheses',
      'error motion/steps-mismatch',
      'error motion/step-rate-over',
      'build/stored-values-win',
    ],
  },
  {
    machine: 'moving-bed',
    // 2 · 18 + 2 = 38 mm a turn: 84 steps/mm where 80 are right.
    what: 'a sum of teeth without parentheses',
    edits: [
      {
        file: 'motion.h',
        find: '#define BELT_TRAVEL_MM (2 * 20)',
        replace: '#define BELT_TEETH 18 + 2\n#define BELT_TRAVEL_MM (2 * BELT_TEETH)',
      },
    ],
    fires: [
      'reading/missing-parentheses',
      'reading/dropped-fraction',
      'motion/steps-mismatch',
      'build/stored-values-win',
    ],
  },
  {
    machine: 'moving-bed',
    // 050 is 40.
    what: 'a leading zero in a temperature',
    edits: [
      {
        file: 'heat.h',
        find: 'FAN_TOOL_0_ON_TEMPERATURE_CELSIUS 50',
        replace: 'FAN_TOOL_0_ON_TEMPERATURE_CELSIUS 050',
      },
    ],
    fires: ['reading/octal'],
  },
  {
    machine: 'screw-router',
    // 010 is 8.
    what: 'a leading zero in a speed',
    edits: [
      {
        file: 'settings.h',
        find: 'AXIS_Z_HOMING_SPEED_MM_PER_S 10',
        replace: 'AXIS_Z_HOMING_SPEED_MM_PER_S 010',
      },
    ],
    fires: ['reading/octal'],
  },
  {
    machine: 'moving-bed',
    // 7 / 2 is 3.
    what: 'a time as a quotient of whole numbers',
    edits: [
      { file: 'heat.h', find: 'GUARD_WATCHDOG_TIMEOUT_S 4', replace: 'GUARD_WATCHDOG_TIMEOUT_S (7 / 2)' },
    ],
    fires: ['reading/dropped-fraction'],
  },
  {
    machine: 'two-tools',
    // 1 / 2 is 0.
    what: 'half a millisecond as a quotient of whole numbers',
    edits: [{ file: 'motion.h', find: 'PROBE_DEBOUNCE_MS 0.5', replace: 'PROBE_DEBOUNCE_MS (1 / 2)' }],
    fires: ['reading/dropped-fraction'],
  },
  {
    machine: 'two-tools',
    what: 'a part switched off with 0 and asked for with #ifdef',
    edits: [
      {
        file: 'heat.h',
        find: '#if TOOL_COUNT > 1',
        replace: '#define WITH_SECOND_TOOL 0\n#ifdef WITH_SECOND_TOOL',
      },
    ],
    fires: ['reading/defined-as-zero'],
  },
  {
    machine: 'coupled-belts',
    what: 'a probe switched off with 0 and asked for with #ifdef',
    edits: [
      {
        file: 'settings.h',
        find: '#define PROBE_PIN PC3',
        replace: '#define WITH_PROBE 0\n#ifdef WITH_PROBE\n#define PROBE_PIN PC3\n#endif',
      },
    ],
    fires: ['reading/defined-as-zero'],
  },
  {
    machine: 'moving-bed',
    what: 'a semicolon behind a number',
    edits: [
      { file: 'motion.h', find: 'AXIS_X_MAX_SPEED_MM_PER_S 200', replace: 'AXIS_X_MAX_SPEED_MM_PER_S 200;' },
    ],
    fires: ['names/wrong-type'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'a semicolon in a macro that settings use',
    edits: [{ file: 'machine.h', find: '#define MICROSTEPS 16', replace: '#define MICROSTEPS 16;' }],
    fires: ['reading/stray-sign', 'names/wrong-type'],
  },
  {
    machine: 'coupled-belts',
    what: 'a multiplication sign from a text processor',
    edits: [{ file: 'settings.h', find: '(200 * 32 / (20 * 2))', replace: '(200 × 32 / (20 * 2))' }],
    fires: ['reading/stray-sign', 'names/wrong-type'],
  },
  {
    machine: 'screw-router',
    what: 'an equals sign before a number',
    edits: [{ file: 'settings.h', find: 'LINK_HOST_LINE_WINDOW 3', replace: 'LINK_HOST_LINE_WINDOW = 3' }],
    fires: ['names/wrong-type'],
  },
  {
    machine: 'two-tools',
    what: 'a slip in the name of a condition',
    edits: [{ file: 'heat.h', find: '#if TOOL_COUNT > 1', replace: '#if TOOL_CUONT > 1' }],
    fires: ['info reading/undefined-in-condition'],
  },
  {
    machine: 'moving-bed',
    what: 'a condition on a name that nobody defines',
    edits: [
      {
        file: 'heat.h',
        find: '#define GUARD_IDLE_TIMEOUT_S 1800',
        replace: '#if TOOL_CONUT > 0\n#define GUARD_IDLE_TIMEOUT_S 1800\n#endif',
      },
    ],
    fires: ['info reading/undefined-in-condition'],
  },
];
