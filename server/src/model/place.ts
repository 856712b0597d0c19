/** A stretch of one file, in UTF-16 offsets. Only `lsp/` and `cli/` turn offsets into lines and columns; a rule may name a line in a
 * message, to tell two places apart. */
export interface Place {
  readonly uri: string;
  readonly start: number;
  readonly end: number;
}

/** One replacement of text. Several edits of one remedy never overlap. */
export interface TextEdit {
  readonly place: Place;
  readonly newText: string;
}
