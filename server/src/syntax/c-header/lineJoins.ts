import { isComment, type ParsedLine } from './lines';

/** Splices that may not do what their author meant. Offsets count from the start of the line. */
export interface LineJoins {
  /** `//` comments that a backslash carries over the line end. */
  readonly runOnComments: readonly { readonly start: number; readonly end: number }[];
  /** Backslashes within directives with blanks between them and the line end. */
  readonly looseSplices: readonly number[];
}

/** @param loose offsets of all backslashes of the line that have blanks between them and the line end */
export function lineJoins(
  { all, tokens, directive, disabled }: ParsedLine,
  text: string,
  loose: readonly number[],
): LineJoins | undefined {
  const comments = all.filter(isComment);
  const runOnComments = comments.filter(
    (token) =>
      token.end - token.start !== token.text.length &&
      token.text.startsWith('//') &&
      disabled?.comment !== token &&
      /[\r\n]\s*[^\s\\]/.test(text.slice(token.start, token.end)),
  );
  const lastToken = tokens[tokens.length - 1]?.start ?? 0;
  const looseSplices =
    directive === undefined
      ? []
      : loose.filter((at) => at < lastToken && !comments.some(({ start, end }) => at >= start && at < end));
  if (runOnComments.length === 0 && looseSplices.length === 0) return undefined;
  return { runOnComments: runOnComments.map(({ start, end }) => ({ start, end })), looseSplices };
}
