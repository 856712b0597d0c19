import type { Ink } from './plot';

/**
 * Colours of plots. A picture in a hover does not know the editor's theme, so it brings an opaque panel of its own, with a frame
 * that stands out from white and from black. WCAG 2.1: text on the panel 4.5:1 (1.4.3), everything else that carries meaning 3:1
 * (1.4.11); a test computes them. Each ink has its own shape or dash as well (1.4.1).
 */
export const PANEL = '#18222c';
export const FRAME = '#7f8c99';
export const TEXT = '#eef3f8';
export const GRID = '#33414f';

export const INKS: Readonly<Record<Ink, string>> = {
  set: '#6cb8ff',
  real: '#ffc15e',
  need: '#7fe3a5',
  limit: '#ff8f84',
  quiet: '#a9b8c6',
};
