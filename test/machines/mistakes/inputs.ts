import type { Mistake } from './mistake';

export const inputsMistakes: readonly Mistake[] = [];
