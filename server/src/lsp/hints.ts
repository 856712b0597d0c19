import { type CodeLens, type InlayHint, InlayHintKind, type Range } from 'vscode-languageserver';
import { codeLenses } from '../features/codeLenses';
import { type HintKinds, inlayHints } from '../features/inlayHints';
import type { Analysis } from '../project/analysis';
import { headersIn } from './headers';
import { offsetIn, rangeOf } from './lines';
import type { KeyOf } from './uri';

/** Of the first project that reads the header: two figures behind one value would contradict each other. */
export function hints(
  uri: string,
  range: Range,
  kinds: HintKinds,
  analyses: readonly Analysis[],
  keyOf: KeyOf,
): InlayHint[] {
  const [header] = headersIn(analyses, uri, keyOf);
  if (!header) return [];
  const { analysis } = header;
  const within = {
    start: offsetIn(analysis, header.uri, range.start) ?? 0,
    end: offsetIn(analysis, header.uri, range.end) ?? 0,
  };
  return inlayHints(analysis, header.uri, kinds, within).flatMap(({ offset, text, kind }): InlayHint[] => {
    const position = rangeOf(analysis, { uri: header.uri, start: offset, end: offset })?.start;
    if (!position) return [];
    return [
      { position, label: text, paddingLeft: true, ...(kind === 'units' && { kind: InlayHintKind.Type }) },
    ];
  });
}

export function lenses(uri: string, analyses: readonly Analysis[], keyOf: KeyOf): CodeLens[] {
  const [header] = headersIn(analyses, uri, keyOf);
  if (!header) return [];
  return codeLenses(header.analysis, header.uri).flatMap(({ place, title }) => {
    const range = rangeOf(header.analysis, place);
    // A command without a name is shown as text.
    return range ? [{ range, command: { title, command: '' } }] : [];
  });
}
