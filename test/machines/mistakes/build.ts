import type { Mistake } from './mistake';

export const buildMistakes: readonly Mistake[] = [];
