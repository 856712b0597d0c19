import type { Mistake } from './mistake';

export const buildMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'the build of the larger sister',
    edits: [{ file: 'settings.h', find: '"skerry32-f103"', replace: '"skerry32-large"' }],
    fires: ['error build/target-mismatch'],
  },
  {
    machine: 'screw-router',
    what: 'the build of another family',
    edits: [{ file: 'settings.h', find: '"harris-m1284"', replace: '"skerry32-f103"' }],
    fires: ['error build/target-mismatch'],
  },
];
