import type { Place } from '../model/place';
import type { Analysis } from '../project';
import type { Finding, Severity } from '../rules/rule';
import { LineTable, textsOf } from './lines';
import { relativePath } from './paths';

export interface JsonPlace {
  /** With forward slashes, relative to the folder that the report names. */
  readonly file: string;
  /** Lines and columns from 1; columns in UTF-16 units; the end is exclusive. */
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
  /** Offsets from 0 in UTF-16 units, a byte order mark not counted. */
  readonly start: number;
  readonly end: number;
}

export interface JsonFinding extends JsonPlace {
  readonly rule: string;
  readonly severity: Severity;
  readonly message: string;
  readonly concept: string | null;
  readonly caution: string | null;
  readonly causes: readonly (JsonPlace & { readonly message: string })[];
  readonly remedies: readonly {
    readonly title: string;
    readonly safety: 'safe' | 'ask' | 'words';
    readonly edits: readonly (JsonPlace & { readonly oldText: string; readonly newText: string })[];
  }[];
}

export interface JsonPlaces {
  at(place: Place): JsonPlace;
  textAt(place: Place): string;
}

/** @param folder absolute path that files are told relative to */
export function jsonPlaces(analysis: Analysis, folder: string): JsonPlaces {
  const lines = new LineTable(textsOf(analysis));
  return {
    textAt: (place) => lines.textAt(place),
    at({ uri, start, end }) {
      const from = lines.at(uri, start);
      const to = lines.at(uri, end);
      return {
        file: relativePath(uri, folder),
        line: from.line,
        column: from.column,
        endLine: to.line,
        endColumn: to.column,
        start,
        end,
      };
    },
  };
}

export const jsonFinding = (finding: Finding, { at, textAt }: JsonPlaces): JsonFinding => ({
  ...at(finding.place),
  rule: finding.rule,
  severity: finding.severity,
  message: finding.message,
  concept: finding.concept ?? null,
  caution: finding.caution ?? null,
  causes: finding.causes.map((cause) => ({ ...at(cause.place), message: cause.message })),
  remedies: finding.remedies.map(({ title, safety, edits }) => ({
    title,
    safety,
    edits: edits.map((edit) => ({ ...at(edit.place), oldText: textAt(edit.place), newText: edit.newText })),
  })),
});
