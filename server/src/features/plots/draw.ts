import { scaleLinear, scaleLog } from 'd3-scale';
import { area, line, symbol, symbolCircle, symbolDiamond } from 'd3-shape';
import { formatNumber } from '../../units';
import { type LegendEntry, layLegend, ROW, SWATCH } from './legend';
import { FRAME, GRID, INKS, PANEL, TEXT } from './palette';
import type { Ink, Mark, Plot, PlotAxis } from './plot';

/** px. VS Code gives a hover 500 by 250 in a small window: a plot fits in whole. */
const WIDTH = 440;
const INNER = { left: 54, right: 18, height: 120 };
const TITLE = 22;
const BELOW = 33;
/** Coordinates beyond this are of no use and only break renderers. */
const FAR = 10_000;

interface Frame {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** A plot as SVG that reads on any background. Needs axes that span something. */
export function draw(plot: Plot): string {
  const legend = layLegend(plot.marks, WIDTH - 24);
  const top = TITLE + legend.rows * ROW + 18;
  const height = top + INNER.height + BELOW;
  const span = { left: INNER.left, right: WIDTH - INNER.right, top, bottom: top + INNER.height };
  const frame: Frame = {
    ...span,
    x: scaleOf(plot.x, span.left, span.right),
    y: scaleOf(plot.y, span.bottom, span.top),
  };
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${height}" viewBox="0 0 ${WIDTH} ${height}" role="img" font-family="system-ui, sans-serif" font-size="11" fill="${TEXT}">`,
    `<title>${escaped(plot.title)}</title><desc>${escaped(plot.facts.join(' '))}</desc>`,
    `<defs>${hatches(plot.marks)}<clipPath id="in"><rect x="${span.left}" y="${span.top}" width="${span.right - span.left}" height="${INNER.height}"/></clipPath></defs>`,
    `<rect x="1" y="1" width="${WIDTH - 2}" height="${height - 2}" rx="4" fill="${PANEL}" stroke="${FRAME}" stroke-width="1.5"/>`,
    `<text x="12" y="16" font-size="12.5" font-weight="600">${escaped(plot.title)}</text>`,
    ...legend.entries.map(legendEntry),
    grid(plot, frame),
    `<g clip-path="url(#in)">${plot.marks.map((mark) => shape(mark, frame)).join('')}</g>`,
    ...plot.marks.map((mark) => label(mark, frame)),
    '</svg>',
  ].join('');
}

function scaleOf({ from, to, scale }: PlotAxis, start: number, end: number): (value: number) => number {
  const map = (scale === 'log' ? scaleLog() : scaleLinear()).domain([from, to]).range([start, end]);
  return (value) => Math.min(Math.max(map(value), -FAR), FAR);
}

/** Round values of an axis; on a logarithmic one whole decades, and their halves and fifths where these are few. */
export function ticksOf({ from, to, scale, ticks }: PlotAxis): { at: number; text: string }[] {
  if (ticks) return [...ticks];
  const round =
    scale === 'log'
      ? decades(from, to)
      : scaleLinear()
          .domain([from, to])
          .ticks(6)
          .filter((at) => at >= from && at <= to);
  return round.map((at) => ({ at, text: short(at, scale === 'log') }));
}

function decades(from: number, to: number): number[] {
  const few = to / from < 100;
  const exponents = Array.from(
    { length: Math.floor(Math.log10(to)) - Math.floor(Math.log10(from)) + 1 },
    (_, index) => Math.floor(Math.log10(from)) + index,
  );
  const every = Math.ceil(exponents.length / 7);
  return exponents
    .filter((_, index) => index % every === 0)
    .flatMap((exponent) => (few ? [1, 2, 5] : [1]).map((digit) => digit * 10 ** exponent))
    .filter((at) => at >= from && at <= to);
}

const short = (value: number, thousands: boolean): string => {
  const size = Math.abs(value);
  if (size >= 1e6) return `${formatNumber(value / 1e6)} M`;
  return size >= (thousands ? 1e3 : 1e4)
    ? `${formatNumber(value / 1e3)} k`
    : formatNumber(Number(value.toPrecision(6)), 3);
};

function grid({ x, y }: Plot, frame: Frame): string {
  const { left, right, top, bottom } = frame;
  const across = ticksOf(y).map(({ at, text }) => {
    const level = px(frame.y(at));
    return `<path d="M${left} ${level}H${right}" stroke="${GRID}"/><text x="${left - 6}" y="${px(frame.y(at) + 4)}" text-anchor="end">${escaped(text)}</text>`;
  });
  const down = ticksOf(x).map(({ at, text }) => {
    const place = px(frame.x(at));
    return `<path d="M${place} ${bottom}v4" stroke="${INKS.quiet}"/><text x="${place}" y="${bottom + 15}" text-anchor="middle">${escaped(text)}</text>`;
  });
  return `${across.join('')}${down.join('')}<path d="M${left} ${top}V${bottom}H${right}" fill="none" stroke="${INKS.quiet}"/><text x="12" y="${top - 6}" fill="${INKS.quiet}">${escaped(y.label)}</text><text x="${right}" y="${bottom + 28}" text-anchor="end" fill="${INKS.quiet}">${escaped(x.label)}</text>`;
}

/** How an ink is dashed where its mark is; no two alike. */
const DASHES: Readonly<Record<Ink, string>> = {
  set: '2 3',
  real: '7 4',
  need: '5 2',
  limit: '12 4',
  quiet: '9 3 2 3',
};

function shape(mark: Mark, frame: Frame): string {
  const ink = INKS[mark.ink];
  switch (mark.kind) {
    case 'curve': {
      const path = line<readonly [number, number]>()
        .defined(([x, y]) => visible(frame, x, y))
        .x(([x]) => frame.x(x))
        .y(([, y]) => frame.y(y))
        .digits(1)(mark.points);
      return path ? `<path d="${path}" fill="none" stroke="${ink}" stroke-width="2"${dash(mark)}/>` : '';
    }
    case 'band': {
      const path = area<readonly [number, number, number]>()
        .defined(([x, lo, hi]) => visible(frame, x, lo) && visible(frame, x, hi))
        .x(([x]) => frame.x(x))
        .y0(([, lo]) => frame.y(lo))
        .y1(([, , hi]) => frame.y(hi))
        .digits(1)(mark.points);
      return path
        ? `<path d="${path}" fill="${ink}" fill-opacity="0.25" stroke="${ink}" stroke-width="0.75"/>`
        : '';
    }
    case 'dot': {
      const [x, y] = mark.at;
      if (!visible(frame, x, y)) return '';
      return `<path d="${outline(mark.shape)}" transform="translate(${px(frame.x(x))} ${px(frame.y(y))})" fill="${ink}" stroke="${PANEL}" stroke-width="1.5"/>`;
    }
    case 'line': {
      const at = frame[mark.axis](mark.at);
      if (!Number.isFinite(at)) return '';
      const path =
        mark.axis === 'x'
          ? `M${px(at)} ${frame.top}V${frame.bottom}`
          : `M${frame.left} ${px(at)}H${frame.right}`;
      return `<path d="${path}" stroke="${ink}" stroke-width="1.5"${dash(mark)}/>`;
    }
    case 'zone': {
      const [left, right] = mark.x?.map(frame.x) ?? [frame.left, frame.right];
      const [bottom, top] = mark.y?.map(frame.y) ?? [frame.bottom, frame.top];
      return box(left, right, top, bottom, mark.ink, mark.hatched);
    }
    case 'bar': {
      const half = (mark.width ?? 0.5) / 2;
      const [left, right] = [frame.x(mark.at - half), frame.x(mark.at + half)];
      const ends = [frame.y(mark.from), frame.y(mark.to)];
      const [top, bottom] = [Math.min(...ends), Math.max(...ends)];
      // A bar of no height is still a mark.
      return box(
        left,
        right,
        top - (bottom - top < 3 ? 1.5 : 0),
        bottom + (bottom - top < 3 ? 1.5 : 0),
        mark.ink,
        mark.hatched,
        0.75,
      );
    }
    case 'gap': {
      const [x1, y1, x2, y2] = [mark.from, mark.to].flatMap(([x, y]) => [frame.x(x), frame.y(y)]);
      if (![x1, y1, x2, y2].every(Number.isFinite)) return '';
      return arrow(x1 ?? 0, y1 ?? 0, x2 ?? 0, y2 ?? 0, ink);
    }
  }
}

function box(
  left: number | undefined,
  right: number | undefined,
  top: number | undefined,
  bottom: number | undefined,
  ink: Ink,
  hatched = false,
  opacity = 0.16,
): string {
  const [x, y] = [left ?? 0, top ?? 0];
  const [width, height] = [(right ?? 0) - x, (bottom ?? 0) - y];
  if (!Number.isFinite(width) || !Number.isFinite(height) || !Number.isFinite(x + y)) return '';
  const place = `x="${px(x)}" y="${px(y)}" width="${px(Math.max(width, 0))}" height="${px(Math.max(height, 0))}"`;
  const fill = hatched ? `fill="url(#hatch-${ink})"` : `fill="${INKS[ink]}" fill-opacity="${opacity}"`;
  return `<rect ${place} ${fill} stroke="${INKS[ink]}"/>`;
}

/** A line with a head at its end, unless it is too short for one. */
function arrow(x1: number, y1: number, x2: number, y2: number, ink: string): string {
  const length = Math.hypot(x2 - x1, y2 - y1);
  const path = `<path d="M${px(x1)} ${px(y1)}L${px(x2)} ${px(y2)}" stroke="${ink}" stroke-width="2.5"/>`;
  if (length < 12) return path;
  const [ux, uy] = [(x2 - x1) / length, (y2 - y1) / length];
  const side = (sign: number) => `${px(x2 - 8 * ux + sign * 4 * uy)} ${px(y2 - 8 * uy - sign * 4 * ux)}`;
  return `${path}<path d="M${px(x2)} ${px(y2)}L${side(1)}L${side(-1)}Z" fill="${ink}"/>`;
}

const HALO = `stroke="${PANEL}" stroke-width="3.5" paint-order="stroke" stroke-linejoin="round"`;

/** Text beside a dot, or over or under a bar, within the plot. */
function label(mark: Mark, frame: Frame): string {
  if ((mark.kind !== 'dot' && mark.kind !== 'bar') || !mark.label) return '';
  const within = (y: number) => Math.min(Math.max(y, frame.top + 12), frame.bottom - 4);
  if (mark.kind === 'bar') {
    const below = mark.labelBelow || mark.to < mark.from;
    const end = below ? frame.y(Math.min(mark.from, mark.to)) + 14 : frame.y(mark.to) - 5;
    const x = frame.x(mark.at);
    if (!Number.isFinite(x + end)) return '';
    return `<text x="${px(x)}" y="${px(within(end))}" text-anchor="middle" ${HALO}>${escaped(mark.label)}</text>`;
  }
  if (!visible(frame, ...mark.at)) return '';
  const [x, y] = [frame.x(mark.at[0]), frame.y(mark.at[1])];
  const left =
    mark.side === 'left' || mark.side === 'belowLeft' || x > frame.left + 0.84 * (frame.right - frame.left);
  const level = within(y + (mark.side === 'below' || mark.side === 'belowLeft' ? 15 : -7));
  return `<text x="${px(x + (left ? -8 : 8))}" y="${px(level)}" text-anchor="${left ? 'end' : 'start'}" ${HALO}>${escaped(mark.label)}</text>`;
}

function legendEntry({ mark, name, x, row }: LegendEntry): string {
  const [left, middle] = [12 + x, TITLE + row * ROW + 5];
  const ink = INKS[mark.ink];
  return `${swatch(mark, ink, left, middle)}<text x="${px(left + SWATCH + 5)}" y="${middle + 4}">${escaped(name)}</text>`;
}

function swatch(mark: Mark, ink: string, left: number, middle: number): string {
  const right = px(left + SWATCH);
  switch (mark.kind) {
    case 'curve':
    case 'line':
      return `<path d="M${px(left)} ${middle}H${right}" stroke="${ink}" stroke-width="2"${dash(mark)}/>`;
    case 'gap':
      return arrow(left, middle, left + SWATCH, middle, ink);
    case 'dot':
      return `<path d="${outline(mark.shape)}" transform="translate(${px(left + SWATCH / 2)} ${middle})" fill="${ink}"/>`;
    default: {
      const hatched = mark.kind !== 'band' && mark.hatched;
      const opacity = mark.kind === 'bar' ? 0.75 : 0.25;
      return box(left, left + SWATCH, middle - 5, middle + 5, mark.ink, hatched, opacity);
    }
  }
}

const outline = (shape: 'circle' | 'diamond'): string =>
  symbol(shape === 'circle' ? symbolCircle : symbolDiamond, 64).digits(1)() ?? '';

const dash = (mark: Mark): string =>
  (mark.kind === 'curve' || mark.kind === 'line') && mark.dashed
    ? ` stroke-dasharray="${DASHES[mark.ink]}"`
    : '';

function hatches(marks: readonly Mark[]): string {
  const inks = new Set(marks.flatMap((mark) => ('hatched' in mark && mark.hatched ? [mark.ink] : [])));
  return [...inks]
    .map(
      (ink) =>
        `<pattern id="hatch-${ink}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V6" stroke="${INKS[ink]}" stroke-width="2.5" stroke-opacity="0.75"/></pattern>`,
    )
    .join('');
}

const visible = (frame: Frame, x: number, y: number): boolean =>
  Number.isFinite(frame.x(x)) && Number.isFinite(frame.y(y));

const px = (value: number): string => String(Math.round(value * 10) / 10);

/** What XML 1.0 has no place for is left out: names on a machine sheet may hold anything. */
const escaped = (text: string): string =>
  text
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are the ones that may not be in XML
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, '')
    .replace(/[&<>"]/g, (found) => `&#${found.charCodeAt(0)};`);
