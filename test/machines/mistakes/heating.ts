import type { Mistake } from './mistake';

export const heatingMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    // 220 W / 24 V = 9.2 A.
    what: 'an output made for less than the bed draws',
    edits: [{ file: 'skerry32.board.json', find: '"maxCurrent": "15 A"', replace: '"maxCurrent": "8 A"' }],
    fires: ['error heating/output-overload'],
  },
  {
    machine: 'old-twelve-volt',
    // 30 W / 12 V = 2.5 A.
    what: 'a small output for the tool',
    edits: [{ file: 'tolsta2040.board.json', find: '"maxCurrent": "5 A"', replace: '"maxCurrent": "2 A"' }],
    fires: ['error heating/output-overload'],
  },
];
