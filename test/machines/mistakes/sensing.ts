import type { Mistake } from './mistake';

export const sensingMistakes: readonly Mistake[] = [];
