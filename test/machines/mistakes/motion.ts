import type { Mistake } from './mistake';

export const motionMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    // 200 · 16 / (2 · 16 mm) = 100 steps/mm where 20 teeth give 80.
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
];
