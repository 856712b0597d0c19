import type { TextEdit } from '../../server/src/model/place';

/** Applies edits to a set of files; edits of one file must not overlap. */
export function applyEdits(
  files: ReadonlyMap<string, string>,
  edits: readonly TextEdit[],
): Map<string, string> {
  const result = new Map(files);
  const byFile = new Map<string, TextEdit[]>();
  for (const edit of edits) byFile.set(edit.place.uri, [...(byFile.get(edit.place.uri) ?? []), edit]);
  for (const [uri, own] of byFile) {
    let text = result.get(uri);
    if (text === undefined) throw new Error(`edit in an unknown file: ${uri}`);
    let limit = text.length;
    for (const edit of own.sort((a, b) => b.place.start - a.place.start)) {
      if (edit.place.end > limit) throw new Error(`overlapping edits in ${uri}`);
      text = text.slice(0, edit.place.start) + edit.newText + text.slice(edit.place.end);
      limit = edit.place.start;
    }
    result.set(uri, text);
  }
  return result;
}
