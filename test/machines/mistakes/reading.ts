import type { Mistake } from './mistake';

export const readingMistakes: readonly Mistake[] = [];
