import type { Mistake } from './mistake';

export const guardsMistakes: readonly Mistake[] = [];
