import type { Mistake } from './mistake';

export const driversMistakes: readonly Mistake[] = [];
