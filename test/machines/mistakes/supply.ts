import type { Mistake } from './mistake';

export const supplyMistakes: readonly Mistake[] = [];
