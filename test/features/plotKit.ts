import sax from 'sax';
import { imageOf, type Plot, plotOf } from '../../server/src/features/plots';
import type { Bar, Curve, Dot, Mark } from '../../server/src/features/plots/plot';
import type { Analysis } from '../../server/src/project/analysis';
import { plain } from '../kit/checkRule';
import { analysed } from './headers';

/** The plot of a setting of a fixture. */
export async function plotAt(source: string, concept: string): Promise<Plot> {
  const found = plotIn(await analysed(source), concept);
  if (typeof found === 'string') throw new Error(found);
  return found;
}

/** The plot, or the question that is asked instead; "no plot" where neither is. */
export function plotIn({ machine }: Analysis, concept: string): Plot | string {
  const reading = machine.settings.reading(concept);
  if (!reading) throw new Error(`no ${concept}`);
  const { plot, wanted } = plotOf(machine, reading);
  return plot ?? wanted?.question ?? 'no plot';
}

const ofKind =
  <T extends Mark>(kind: T['kind']) =>
  ({ marks }: Plot, name?: string): T => {
    const found = marks.find(
      (mark) => mark.kind === kind && (name === undefined || mark.name?.includes(name)),
    );
    if (!found)
      throw new Error(`no ${kind} ${name ?? ''} among ${marks.map((mark) => mark.name).join(', ')}`);
    return found as T;
  };
export const curve = ofKind<Curve>('curve');
export const dot = ofKind<Dot>('dot');
export const bars = ({ marks }: Plot): Bar[] => marks.filter((mark) => mark.kind === 'bar');

/** Value of a curve at one of its own points. */
export function valueAt({ points }: Curve, x: number): number {
  const found = points.find(([at]) => Math.abs(at - x) < 1e-9 * Math.max(1, Math.abs(x)));
  if (!found) throw new Error(`no point at ${x}`);
  return found[1];
}

export const words = ({ facts }: Plot): string => plain(facts.join(' '));

/** A picture's SVG out of its data URI. */
export function svgOf(plot: Plot): string {
  const found = /\]\(data:image\/svg\+xml;base64,([A-Za-z0-9+/=]+)\)$/.exec(imageOf(plot) ?? '');
  if (!found?.[1]) throw new Error('no picture');
  return Buffer.from(found[1], 'base64').toString('utf8');
}

export interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  text: string;
}

/** The elements of a text that must be well-formed XML. */
export function elementsOf(xml: string): Element[] {
  const parser = sax.parser(true);
  const elements: Element[] = [];
  parser.onerror = (error) => {
    throw error;
  };
  parser.onopentag = ({ name, attributes }) => elements.push({ name, attributes, text: '' });
  parser.ontext = (text) => {
    const last = elements.at(-1);
    if (last) last.text += text;
  };
  parser.write(xml).close();
  return elements;
}
