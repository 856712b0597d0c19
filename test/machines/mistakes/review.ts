import type { Mistake } from './mistake';

export const reviewMistakes: readonly Mistake[] = [];
