import type { Socket, SocketKind } from './sockets';

/** Everything in px of the picture; y counts downward. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface Layout {
  readonly width: number;
  readonly height: number;
  /** The board's edge. */
  readonly board: Box;
  /** Room for the board's name. */
  readonly middle: Box;
  readonly boxes: ReadonlyMap<Socket, Box>;
}

export const BOX = { width: 176, height: 64 } as const;
const GAP = 12;
const MARGIN = 14;
/** Between the name and the columns beside it. */
const ASIDE = 2 * GAP;
/** Room for the board's name: between the columns, and above sockets in their places. */
const MIDDLE = { width: 150, height: 110 } as const;
const ABOVE = { width: 2 * BOX.width + GAP, height: BOX.height } as const;
/** px for a metre above which a board would not fit on a screen: its sockets are laid out by kind then. */
const LARGEST_SCALE = 40_000;

/** Sockets in their places when the profile tells enough of them, else by kind along the four edges. */
export function layOut(sockets: readonly Socket[]): Layout {
  const placed = sockets.filter(({ at }) => at !== undefined);
  const scale = placed.length === sockets.length && placed.length > 1 ? scaleFor(placed) : undefined;
  return scale === undefined ? byKind(sockets) : inPlace(placed, scale);
}

/** The least scale at which no two boxes overlap; nothing when they would only part on a huge picture. */
function scaleFor(sockets: readonly Socket[]): number | undefined {
  let scale = 0;
  for (const [index, { at: one }] of sockets.entries()) {
    for (const { at: other } of sockets.slice(index + 1)) {
      if (!one || !other) continue;
      const across = (BOX.width + GAP) / Math.abs(one.x - other.x);
      const down = (BOX.height + GAP) / Math.abs(one.y - other.y);
      scale = Math.max(scale, Math.min(across, down));
    }
  }
  return scale > 0 && scale <= LARGEST_SCALE ? scale : undefined;
}

function inPlace(sockets: readonly Socket[], scale: number): Layout {
  const xs = sockets.map(({ at }) => at?.x ?? 0);
  const ys = sockets.map(({ at }) => at?.y ?? 0);
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const boxes = new Map(
    sockets.map(({ at }, index): [Socket, Box] => [
      sockets[index]!,
      {
        x: 2 * MARGIN + ((at?.x ?? 0) - left) * scale,
        y: 2 * MARGIN + ABOVE.height + (top - (at?.y ?? 0)) * scale,
        ...BOX,
      },
    ]),
  );
  const right = Math.max(...[...boxes.values()].map(({ x }) => x + BOX.width), ABOVE.width + 2 * MARGIN);
  const bottom = Math.max(...[...boxes.values()].map(({ y }) => y + BOX.height));
  return {
    width: right + 2 * MARGIN,
    height: bottom + 2 * MARGIN,
    board: { x: MARGIN, y: MARGIN, width: right, height: bottom },
    middle: { x: 2 * MARGIN, y: 2 * MARGIN, ...ABOVE },
    boxes,
  };
}

type Edge = 'top' | 'left' | 'right' | 'bottom';
const EDGES: Record<SocketKind, Edge> = {
  motor: 'top',
  link: 'left',
  supply: 'left',
  other: 'left',
  output: 'right',
  input: 'bottom',
  sensor: 'bottom',
};
/** Sockets beside each other along the upper and lower edge: as many as half a window shows with words that can be read. */
const MOST_ACROSS = 3;

function byKind(sockets: readonly Socket[]): Layout {
  const on = (edge: Edge): Socket[] => sockets.filter(({ kind }) => EDGES[kind] === edge);
  const rows = (items: readonly Socket[]): number => Math.ceil(items.length / MOST_ACROSS);
  const span = (count: number, size: number): number => (count > 0 ? count * (size + GAP) - GAP : 0);
  const [top, left, right, bottom] = [on('top'), on('left'), on('right'), on('bottom')];
  const across = Math.max(...[top, bottom].map((items) => Math.min(items.length, MOST_ACROSS)));
  const sides = [left, right].filter((items) => items.length > 0).length * (BOX.width + ASIDE);
  const inner = Math.max(span(across, BOX.width), MIDDLE.width + sides);
  const tall = Math.max(span(left.length, BOX.height), span(right.length, BOX.height), MIDDLE.height);
  const topRows = rows(top) * (BOX.height + GAP);
  const y0 = 2 * MARGIN;
  const yMiddle = y0 + topRows + (topRows > 0 ? GAP : 0);
  const yBottom = yMiddle + tall + ASIDE;
  const boxes = new Map<Socket, Box>();
  const place = (socket: Socket, x: number, y: number): void => {
    boxes.set(socket, { x, y, ...BOX });
  };
  const inRows = (items: readonly Socket[], y: number): void =>
    items.forEach((socket, index) => {
      const row = Math.floor(index / MOST_ACROSS);
      place(socket, 2 * MARGIN + (index % MOST_ACROSS) * (BOX.width + GAP), y + row * (BOX.height + GAP));
    });
  inRows(top, y0);
  inRows(bottom, yBottom);
  const inColumn = (items: readonly Socket[], x: number): void => {
    for (const [index, socket] of items.entries()) place(socket, x, yMiddle + index * (BOX.height + GAP));
  };
  inColumn(left, 2 * MARGIN);
  inColumn(right, 2 * MARGIN + inner - BOX.width);
  const bottomRows = rows(bottom) * (BOX.height + GAP);
  const end = bottomRows > 0 ? yBottom + bottomRows - GAP : yMiddle + tall;
  const free = left.length > 0 ? 2 * MARGIN + BOX.width + ASIDE : 2 * MARGIN;
  const until = 2 * MARGIN + inner - (right.length > 0 ? BOX.width + ASIDE : 0);
  return {
    width: inner + 4 * MARGIN,
    height: end + 2 * MARGIN,
    board: { x: MARGIN, y: MARGIN, width: inner + 2 * MARGIN, height: end },
    middle: { x: free, y: yMiddle + (tall - MIDDLE.height) / 2, width: until - free, height: MIDDLE.height },
    boxes,
  };
}
