import type { Place } from '../../model/place';
import type { Core, Entry, EntryState, SettingValue } from '../entry';
import { fromLineStart } from './evaluate';
import { commentText } from './lines';
import type { Settled } from './settled';
import { type Source, startOfLine } from './sources';
import type { Mark, Token } from './token';

/** The files of one reading, by URI. */
export type Files = ReadonlyMap<string, Source>;

/** Where a mark stands in these files. */
export const placeIn = (files: Files, { home, start, end }: Mark): Place => {
  const source = files.get(home.uri);
  const base = source ? startOfLine(source, home.line) : 0;
  return { uri: home.uri, start: base + start, end: base + end };
};

/** One definition as others see it, with places worked out when somebody asks: most never are. */
export class LineEntry implements Entry {
  private read: SettingValue | undefined;

  constructor(
    readonly index: number,
    readonly settled: Settled,
    private readonly source: Source,
    private readonly files: Files,
  ) {}

  get core(): Core {
    return this.settled.core;
  }

  get uri(): string {
    return this.source.uri;
  }

  get line(): object {
    return this.settled.draft.line;
  }

  get lineStart(): number {
    return startOfLine(this.source, this.settled.draft.home.line);
  }

  private at(start: number, end: number): Place {
    return { uri: this.source.uri, start: this.lineStart + start, end: this.lineStart + end };
  }

  get name(): string {
    return this.settled.draft.definition.macro.name;
  }

  get functionLike(): boolean {
    return this.settled.draft.definition.macro.parameters !== undefined;
  }

  get place(): Place {
    const { disabled, line } = this.settled.draft;
    if (disabled) return this.at(disabled.comment.start, disabled.comment.end);
    return this.at(line.tokens[0]?.start ?? 0, contentEnd(this.source.text, this.lineStart, line.length));
  }

  get namePlace(): Place {
    const { start, end } = this.settled.draft.definition.nameToken;
    return this.at(start, end);
  }

  get valuePlace(): Place | undefined {
    const { body } = this.settled.draft.definition.macro;
    const first = body[0];
    const last = body[body.length - 1];
    return first && last && this.at(first.start, last.end);
  }

  get rawText(): string {
    const place = this.valuePlace;
    return place ? this.source.text.slice(place.start, place.end) : '';
  }

  /** Tokens of the value as written, with offsets from the start of the line. */
  get valueTokens(): readonly Token[] {
    return this.settled.draft.definition.macro.body;
  }

  get rawWord(): string | undefined {
    const { body } = this.settled.draft.definition.macro;
    const only = body.length === 1 ? body[0] : undefined;
    return only?.kind === 'identifier' ? only.text : undefined;
  }

  get state(): EntryState {
    return this.settled.state;
  }

  get value(): SettingValue {
    this.read ??= fromLineStart(this.settled.value(), this.lineStart);
    return this.read;
  }

  get trailingComment(): string | undefined {
    const { disabled, line, definition } = this.settled.draft;
    if (disabled) return disabled.remark;
    const last = definition.macro.body.at(-1) ?? definition.nameToken;
    const comments = line.all.filter((token) => token.kind === 'comment' && token.start >= last.end);
    const text = comments.map(commentText).join(' ').trim();
    return text === '' ? undefined : text;
  }

  get condition(): Entry['condition'] {
    const { condition } = this.settled.draft;
    return condition && { place: placeIn(this.files, condition.mark), text: condition.text };
  }

  get undecidedNames(): readonly string[] {
    return this.settled.undecidedNames;
  }

  get endedBy(): Place | undefined {
    const { endedBy } = this.settled;
    return endedBy && placeIn(this.files, endedBy);
  }

  get undefinedBefore(): boolean | undefined {
    return this.settled.undefinedBefore;
  }

  get usedDefinitions(): Entry['usedDefinitions'] {
    return this.settled.used().map(({ name, mark }) => ({ name, place: mark && placeIn(this.files, mark) }));
  }

  get commentMarks(): readonly Place[] | undefined {
    return this.settled.draft.disabled?.marks.map(({ start, end }) => this.at(start, end));
  }

  get includeGuard(): true | undefined {
    return this.settled.draft.isGuard || undefined;
  }
}

/** Offset, from the start of the line, behind its last character that is no line end. */
function contentEnd(text: string, start: number, length: number): number {
  let stop = start + length;
  while (stop > start && (text.charCodeAt(stop - 1) === 10 || text.charCodeAt(stop - 1) === 13)) stop--;
  return stop - start;
}
