import type { Mistake } from './mistake';

export const pinsMistakes: readonly Mistake[] = [];
