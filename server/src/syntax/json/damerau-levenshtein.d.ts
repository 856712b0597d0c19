declare module 'damerau-levenshtein' {
  /** `steps`: edits between the two texts, swaps of neighbours counted as one. */
  export default function distance(
    a: string,
    b: string,
    limit?: number,
  ): { steps: number; relative: number; similarity: number };
}
