import type { Mistake } from './mistake';

export const heatingMistakes: readonly Mistake[] = [];
