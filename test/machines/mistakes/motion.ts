import type { Mistake } from './mistake';

export const motionMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    // 200 · 16 / (2 mm · 16) = 100 steps/mm where 20 teeth give 80.
    what: 'steps per mm of belts on 16 teeth',
    edits: [
      {
        file: 'motion.h',
        find: '#define BELT_TRAVEL_MM (2 * 20)',
        replace: '#define BELT_TRAVEL_MM (2 * 16)',
      },
    ],
    fires: ['error motion/steps-mismatch'],
  },
  {
    machine: 'coupled-belts',
    // 200 · 16 · 5 / (π · 7.4 mm) = 688.
    what: 'the feed of another gear',
    edits: [
      { file: 'settings.h', find: 'AXIS_E0_STEPS_PER_MM 688.0f', replace: 'AXIS_E0_STEPS_PER_MM 415.0f' },
    ],
    fires: ['error motion/steps-mismatch'],
  },
  {
    machine: 'plotter',
    // This firmware slows down by itself. 300 mm/s · 160 steps/mm = 48 kHz; the board makes 40 kHz.
    what: 'a top speed that the chip cannot step',
    edits: [
      {
        file: 'settings.h',
        find: '#define AXIS_Y_MAX_SPEED_MM_PER_S 120',
        replace: '#define AXIS_Y_MAX_SPEED_MM_PER_S 300',
      },
    ],
    fires: ['warning motion/step-rate-over'],
  },
  {
    machine: 'screw-router',
    // 40 mm/s · 1280 steps/mm = 51.2 kHz; the board makes 40 kHz.
    what: 'finer microsteps than the chip can step',
    edits: [
      { file: 'settings.h', find: 'AXIS_X_MICROSTEPS 8', replace: 'AXIS_X_MICROSTEPS 32' },
      {
        file: 'settings.h',
        find: 'AXIS_X_STEPS_PER_MM (200 * 8 / 5)',
        replace: 'AXIS_X_STEPS_PER_MM (200 * 32 / 5)',
      },
      {
        file: 'harris1284.board.json',
        find: '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8',
        replace:
          '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 32',
      },
    ],
    fires: ['error motion/step-rate-over'],
  },
];
