import type { Mistake } from './mistake';

export const namesMistakes: readonly Mistake[] = [];
