import type { Place } from '../../model/place';

/** What can be wrong with one of Fettle's own files, whatever it holds. */
export type JsonProblemId =
  | 'files/syntax'
  | 'files/duplicate-key'
  | 'files/unknown-key'
  | 'files/wrong-shape'
  | 'files/unit'
  | 'files/dangling-reference'
  | 'files/not-text'
  | 'files/too-large';

export interface JsonProblem {
  readonly id: JsonProblemId;
  readonly severity: 'error' | 'warning' | 'info' | 'hint';
  readonly place: Place;
  /** What is wrong and what to do, in plain words. */
  readonly message: string;
  readonly related?: readonly { readonly place: Place; readonly message: string }[];
  /** Texts that would be legal at `place`, nearest first, without quotes. */
  readonly candidates?: readonly string[];
}

const ORDER: readonly JsonProblem['severity'][] = ['error', 'warning', 'info', 'hint'];

/** In the order of the text, the worst first at one place. */
export const sortProblems = (problems: readonly JsonProblem[]): JsonProblem[] =>
  [...problems].sort(
    (a, b) =>
      a.place.start - b.place.start ||
      ORDER.indexOf(a.severity) - ORDER.indexOf(b.severity) ||
      a.place.end - b.place.end,
  );
