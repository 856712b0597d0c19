import { draw } from './draw';
import { isDrawable, type Plot } from './plot';

/** A plot as a Markdown image that carries its own data; nothing when there is nothing to draw. */
export function imageOf(plot: Plot): string | undefined {
  if (!isDrawable(plot)) return undefined;
  const alt = [`${plot.title}.`, ...plot.facts]
    .join(' ')
    .replace(/[\t\r\n ]+/g, ' ')
    .replace(/[[\]\\`*_<>&!]/g, '\\$&');
  return `![${alt}](data:image/svg+xml;base64,${base64(draw(plot))})`;
}

const base64 = (text: string): string => btoa(String.fromCharCode(...new TextEncoder().encode(text)));
