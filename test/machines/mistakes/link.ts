import type { Mistake } from './mistake';

export const linkMistakes: readonly Mistake[] = [];
