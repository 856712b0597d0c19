import type { Mistake } from './mistake';

export const namesMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'a slip in the name of a guard',
    edits: [{ file: 'heat.h', find: 'GUARD_BED_HOLD_WINDOW_S', replace: 'GUARD_BED_HOLD_WINODW_S' }],
    fires: ['error names/unknown-setting'],
  },
  {
    machine: 'screw-router',
    what: 'a slip in the name of the steps',
    edits: [{ file: 'settings.h', find: 'AXIS_X_STEPS_PER_MM', replace: 'AXIS_X_STPES_PER_MM' }],
    fires: ['names/unknown-setting'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'the coldest feed set twice',
    edits: [
      {
        file: 'machine.h',
        find: '#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 170',
        replace:
          '#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 170\n#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 180',
      },
    ],
    fires: ['error names/redefined'],
  },
  {
    machine: 'coupled-belts',
    what: 'the depth of the planner set twice',
    edits: [
      {
        file: 'settings.h',
        find: '#define MOTION_MOTOR_IDLE_TIMEOUT_S 900',
        replace: '#define MOTION_MOTOR_IDLE_TIMEOUT_S 900\n#define MOTION_PLANNER_DEPTH 32',
      },
    ],
    fires: ['error names/redefined'],
  },
  {
    machine: 'moving-bed',
    what: 'a decimal comma',
    edits: [
      { file: 'motion.h', find: 'AXIS_Z_MAX_SPEED_MM_PER_S 10', replace: 'AXIS_Z_MAX_SPEED_MM_PER_S 10,5' },
    ],
    fires: ['error names/wrong-type'],
  },
  {
    machine: 'plotter',
    what: 'a number in words',
    edits: [{ file: 'settings.h', find: 'PEN_PWM_FREQUENCY_HZ 50', replace: 'PEN_PWM_FREQUENCY_HZ "fifty"' }],
    fires: ['error names/wrong-type'],
  },
  {
    machine: 'coupled-belts',
    // 260 > 2⁸ − 1
    what: 'an address that does not fit its byte',
    edits: [{ file: 'settings.h', find: 'AXIS_E0_DRIVER_ADDRESS 4', replace: 'AXIS_E0_DRIVER_ADDRESS 260' }],
    fires: ['error names/out-of-range'],
  },
  {
    machine: 'moving-bed',
    what: 'a duty above 100 %',
    edits: [
      { file: 'heat.h', find: 'FAN_PART_MIN_DUTY_PERCENT 35', replace: 'FAN_PART_MIN_DUTY_PERCENT 135' },
    ],
    fires: ['error names/out-of-range'],
  },
  {
    machine: 'moving-bed',
    what: 'two pulls at once',
    edits: [{ file: 'motion.h', find: 'ENDSTOP_Y_LOW_PULL NONE', replace: 'ENDSTOP_Y_LOW_PULL UPDOWN' }],
    fires: ['error names/unknown-choice'],
  },
  {
    machine: 'screw-router',
    what: 'a way of stopping that there is not',
    edits: [{ file: 'settings.h', find: 'AXIS_X_HOME_STOP BRAKING', replace: 'AXIS_X_HOME_STOP SOFTLY' }],
    fires: ['error names/unknown-choice'],
  },
  {
    machine: 'plotter',
    // 0.15 ms is 133 times below 20 ms; 0.15 s are 150 ms.
    what: 'a time in seconds',
    edits: [{ file: 'settings.h', find: 'PEN_MOVE_TIME_MS 150', replace: 'PEN_MOVE_TIME_MS 0.15' }],
    fires: ['names/unit-suspicion'],
  },
  {
    machine: 'screw-router',
    // 2400 mm/s · 320 steps/mm = 768 kHz; the board makes 40 kHz. 2400 mm/min = 40 mm/s.
    what: 'a top speed in mm/min',
    edits: [
      { file: 'settings.h', find: 'AXIS_X_MAX_SPEED_MM_PER_S 40', replace: 'AXIS_X_MAX_SPEED_MM_PER_S 2400' },
    ],
    fires: ['names/unit-suspicion', 'error motion/step-rate-over'],
  },
  {
    machine: 'moving-bed',
    what: 'a guard in a branch for two tools',
    edits: [
      {
        file: 'heat.h',
        find: '#define GUARD_BED_HOLD_WINDOW_S 60',
        replace: '#if TOOL_COUNT > 1\n#define GUARD_BED_HOLD_WINDOW_S 60\n#endif',
      },
    ],
    fires: ['warning names/dead-branch'],
  },
  {
    machine: 'two-tools',
    what: 'one tool counted, and its guards in the branch for two',
    edits: [
      {
        file: 'heat.h',
        find: '#define GUARD_TOOL_0_RISE_WINDOW_S',
        replace: '#if TOOL_COUNT < 2\n#define GUARD_TOOL_0_RISE_WINDOW_S',
      },
      {
        file: 'heat.h',
        find: '#define GUARD_TOOL_0_HOLD_BAND_KELVIN',
        replace: '#endif\n#define GUARD_TOOL_0_HOLD_BAND_KELVIN',
      },
    ],
    fires: ['warning names/dead-branch'],
  },
  {
    machine: 'moving-bed',
    what: 'a guard by its name in an old version',
    edits: [{ file: 'heat.h', find: 'GUARD_BED_HOLD_WINDOW_S', replace: 'GUARD_BED_HOLD_TIME_S' }],
    fires: ['error names/renamed'],
  },
  {
    machine: 'moving-bed',
    what: 'a direction by its old name, with the opposite sense',
    edits: [{ file: 'motion.h', find: 'AXIS_X_DIRECTION_REVERSED 0', replace: 'AXIS_X_DIRECTION_NORMAL 1' }],
    fires: ['warning names/renamed'],
  },
];
