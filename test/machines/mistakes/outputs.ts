import type { Mistake } from './mistake';

export const outputsMistakes: readonly Mistake[] = [];
