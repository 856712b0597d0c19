import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { imageOf, type Plot, plotOf } from '../../server/src/features/plots';
import { FRAME, GRID, INKS, PANEL, TEXT } from '../../server/src/features/plots/palette';
import { isDrawable } from '../../server/src/features/plots/plot';
import type { Analysis } from '../../server/src/project/analysis';
import { analyse, type Files, filesOf, machineNames, soundAnalysis } from '../machines/machines';
import { type Element, elementsOf, svgOf } from './plotKit';

const plotsOf = ({ machine }: Analysis): Plot[] =>
  machine.settings.all.flatMap((reading) => {
    const { plot } = plotOf(machine, reading);
    return plot ? [plot] : [];
  });

/** px of a path's or an attribute's numbers. */
const numbersIn = (text: string): number[] => (text.match(/-?\d*\.?\d+(?:e-?\d+)?/gi) ?? []).map(Number);

const isSane = (elements: readonly Element[]): boolean =>
  elements.every(({ attributes }) =>
    Object.values(attributes).every((value) => !/NaN|Infinity|undefined|null/.test(value)),
  );

describe('colours: WCAG 2.1', () => {
  /** Relative luminance and contrast ratio, as WCAG 2.1 defines them. */
  const luminance = (colour: string): number => {
    const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
      const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
      return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (one: string, other: string): number => {
    const [dark = 0, light = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (light + 0.05) / (dark + 0.05);
  };

  it('the ratio of black and white is 21, of #777777 on white 4.48 (worked examples of WCAG)', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 6);
    expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.48, 2);
  });

  it('text on the panel: 4.5:1 at least (1.4.3)', () => {
    for (const ink of [TEXT, INKS.quiet]) expect(contrast(ink, PANEL)).toBeGreaterThanOrEqual(4.5);
  });

  it('what carries meaning stands out from the panel: 3:1 at least (1.4.11)', () => {
    for (const ink of [...Object.values(INKS), FRAME]) expect(contrast(ink, PANEL)).toBeGreaterThanOrEqual(3);
  });

  it('the frame stands out from light, dark and high-contrast themes: 3:1 at least', () => {
    for (const theme of ['#ffffff', '#f8f8f8', '#1f1f1f', '#252526', '#000000'])
      expect(contrast(FRAME, theme), theme).toBeGreaterThanOrEqual(3);
  });

  it('the grid stays behind', () => {
    expect(contrast(GRID, PANEL)).toBeLessThan(contrast(FRAME, PANEL));
  });
});

describe.each(machineNames)('every plot of %s', (name) => {
  it('is well-formed, sane, small, named and told in words', async () => {
    const plots = plotsOf(await soundAnalysis(name));
    expect(plots.length).toBeGreaterThan(0);
    for (const plot of plots) {
      const elements = elementsOf(svgOf(plot));
      expect(elements[0]?.name).toBe('svg');
      expect(isSane(elements)).toBe(true);
      const text = (of: string) => elements.find((element) => element.name === of)?.text;
      expect(text('title')).toBe(plot.title);
      expect(text('desc')).toBe(plot.facts.join(' '));
      expect(plot.facts.length).toBeGreaterThan(0);
      const image = imageOf(plot) ?? '';
      expect(image.length).toBeLessThan(20_000);
      const alt = image.slice(0, image.indexOf('](data:')).replaceAll('\\', '');
      for (const fact of plot.facts) expect(alt.includes(fact), fact).toBe(true);
    }
  });

  it('lies within its picture, text too', async () => {
    for (const plot of plotsOf(await soundAnalysis(name))) {
      const [root, ...elements] = elementsOf(svgOf(plot));
      const [width, height] = [Number(root?.attributes.width), Number(root?.attributes.height)];
      expect(width).toBeLessThanOrEqual(460); // What VS Code shows of a hover at once is 500 by 250.
      expect(height).toBeLessThanOrEqual(250);
      for (const { name: kind, attributes, text } of elements) {
        if (kind !== 'text') continue;
        const [x, y] = [Number(attributes.x), Number(attributes.y)];
        expect(y, text).toBeGreaterThan(0);
        expect(y, text).toBeLessThan(height);
        // 5.6 px a character is what a sans-serif of 11 px takes on average; common practice.
        const wide = 5.6 * text.length;
        const left =
          attributes['text-anchor'] === 'end'
            ? x - wide
            : attributes['text-anchor'] === 'middle'
              ? x - wide / 2
              : x;
        expect(left, text).toBeGreaterThanOrEqual(0);
        expect(left + wide, text).toBeLessThanOrEqual(width);
      }
    }
  });

  it('no two named lines or dots differ by colour alone (WCAG 1.4.1)', async () => {
    for (const plot of plotsOf(await soundAnalysis(name))) {
      const inks = new Map<string, string>();
      for (const mark of plot.marks) {
        if (!mark.name || mark.kind === 'zone' || mark.kind === 'bar') continue;
        const dashed = 'dashed' in mark && mark.dashed ? `dashed ${mark.ink}` : 'solid';
        const shape =
          mark.kind === 'dot' ? mark.shape : mark.kind === 'line' || mark.kind === 'curve' ? dashed : '';
        const key = `${mark.kind === 'line' ? `line ${mark.axis}` : mark.kind} ${shape}`;
        expect(inks.get(key), `${plot.title}: ${mark.name}`).toBeUndefined();
        inks.set(key, mark.ink);
      }
    }
  });
});

/** Every value of a JSON text (comments taken out) by its path. */
type Json = { [key: string]: Json } | Json[] | string | number | boolean | null;

function pathsIn(value: Json, path: (string | number)[] = []): (string | number)[][] {
  if (typeof value !== 'object' || value === null) return [path];
  const inside = Object.entries(value).flatMap(([key, item]) =>
    pathsIn(item, [...path, Array.isArray(value) ? Number(key) : key]),
  );
  return path.length > 0 ? [path, ...inside] : inside;
}

function changed(value: Json, [first, ...rest]: readonly (string | number)[], to: Json | undefined): void {
  if (typeof value !== 'object' || value === null || first === undefined) return;
  const record = value as { [key: string]: Json };
  if (rest.length > 0) changed(record[first] ?? null, rest, to);
  else if (to === undefined) delete record[first];
  else record[first] = to;
}

const odd = [
  '0',
  '-1',
  '1e30',
  '0 Ω',
  '-5 °C',
  '1e9 V',
  '0 V',
  '1e-12 A',
  '1 °C..2000 °C',
  '0 s',
  '1e12 s',
  '',
  '∞',
  'pt100',
];

describe('facts that are odd or missing', () => {
  const files = (
    name: (typeof machineNames)[number],
    seed: { take: number; change: number; to: string }[],
  ): Files => {
    const all = new Map(filesOf(name));
    for (const [uri, text] of all) {
      if (/\.(?:board|machine)\.json$/.test(uri)) {
        const json = JSON.parse(text.replace(/^\s*\/\/.*$/gm, '')) as Json;
        for (const { take, change, to } of seed) {
          const paths = pathsIn(json);
          changed(json, paths[take % paths.length] ?? [], undefined);
          const left = pathsIn(json);
          changed(json, left[change % left.length] ?? [], to);
        }
        all.set(uri, JSON.stringify(json));
      } else if (uri.endsWith('.h')) {
        const lines = text.split('\n');
        for (const { take, change, to } of seed) {
          lines[take % lines.length] = '';
          const at = change % lines.length;
          lines[at] = (lines[at] ?? '').replace(/^(#define \w+ )\S+.*$/, `$1${to.split(' ')[0]}`);
        }
        all.set(uri, lines.join('\n'));
      }
    }
    return all;
  };

  test('no plot throws, shows nonsense or grows, whatever is taken away or changed', async () => {
    let [drawn, asked] = [0, 0];
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...machineNames),
        fc.array(fc.record({ take: fc.nat(10_000), change: fc.nat(10_000), to: fc.constantFrom(...odd) }), {
          maxLength: 5,
        }),
        async (name, seed) => {
          const { machine } = await analyse(name, files(name, seed), { rules: [] });
          for (const reading of machine.settings.all) {
            const { plot, wanted } = plotOf(machine, reading);
            if (wanted) {
              asked++;
              expect(wanted.question).toMatch(/\w{3}/);
            }
            if (!plot) continue;
            expect(plot.facts.join(' ')).not.toMatch(/NaN|undefined|not computable/);
            if (!isDrawable(plot)) continue;
            drawn++;
            const svg = svgOf(plot);
            const elements = elementsOf(svg);
            expect(isSane(elements)).toBe(true);
            for (const { attributes } of elements)
              for (const value of [attributes.d ?? '', attributes.x ?? '', attributes.y ?? ''])
                expect(numbersIn(value).every((one) => Number.isFinite(one) && Math.abs(one) < 100_000)).toBe(
                  true,
                );
            expect(imageOf(plot)?.length).toBeLessThan(20_000);
          }
        },
      ),
      { numRuns: 40 },
    );
    expect(drawn).toBeGreaterThan(200);
    expect(asked).toBeGreaterThan(10);
  });
});
