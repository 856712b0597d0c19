/**
 * Where the lines of a text stand in a later one that came out of it by edits that added or removed lines. Marks keep the index that
 * their line had when the text was last translated.
 */
export interface LineMoves {
  /** Index now of the line that was `line`; nothing when it is gone. */
  now(line: number): number | undefined;
  /** What the line's index was; nothing for a line that has been added. */
  before(line: number): number | undefined;
  /** The same with lines from `first` on, `removed` of them, replaced by `added` others; nothing once there are too many pieces. */
  with(first: number, removed: number, added: number): LineMoves | undefined;
}

/** Lines from `from` up to `to`, exclusive, that follow each other in both texts. `shift` leads to where they are now. */
interface Piece {
  readonly from: number;
  readonly to: number;
  readonly shift: number;
}

/** Beyond this many, translating anew is cheaper than looking through them. */
const MOST_PIECES = 100;

export const NOT_MOVED: LineMoves = movesOf([{ from: 0, to: Number.POSITIVE_INFINITY, shift: 0 }]);

function movesOf(pieces: readonly Piece[]): LineMoves {
  const find = (line: number, byNow: boolean): Piece | undefined => {
    let low = 0;
    let high = pieces.length - 1;
    while (low <= high) {
      const middle = (low + high) >> 1;
      const piece = pieces[middle] as Piece;
      const at = byNow ? line - piece.shift : line;
      if (at < piece.from) high = middle - 1;
      else if (at >= piece.to) low = middle + 1;
      else return piece;
    }
    return undefined;
  };
  return {
    now(line) {
      const piece = find(line, false);
      return piece && line + piece.shift;
    },
    before(line) {
      const piece = find(line, true);
      return piece && line - piece.shift;
    },
    with(first, removed, added) {
      const made: Piece[] = [];
      const keep = (piece: Piece): void => {
        const last = made[made.length - 1];
        if (piece.to <= piece.from) return;
        if (last && last.to === piece.from && last.shift === piece.shift)
          made[made.length - 1] = { ...last, to: piece.to };
        else made.push(piece);
      };
      for (const { from, to, shift } of pieces) {
        keep({ from, to: Math.min(to, first - shift), shift });
        keep({ from: Math.max(from, first + removed - shift), to, shift: shift + added - removed });
      }
      return made.length > MOST_PIECES ? undefined : movesOf(made);
    },
  };
}
