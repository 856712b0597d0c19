import type { Mistake } from './mistake';

export const guardsMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'the bed guard off',
    edits: [{ file: 'heat.h', find: 'GUARD_BED_ENABLED 1', replace: 'GUARD_BED_ENABLED 0' }],
    fires: ['error guards/disabled'],
  },
  {
    machine: 'coupled-belts',
    what: 'the watchdog off',
    edits: [{ file: 'settings.h', find: 'GUARD_WATCHDOG_ENABLED 1', replace: 'GUARD_WATCHDOG_ENABLED 0' }],
    fires: ['error guards/disabled'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'cold feed allowed',
    edits: [{ file: 'machine.h', find: 'GUARD_COLD_FEED_ENABLED 1', replace: 'GUARD_COLD_FEED_ENABLED 0' }],
    fires: ['warning guards/disabled'],
  },
];
