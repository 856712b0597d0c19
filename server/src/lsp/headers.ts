import { type HeaderFile, headerFile } from '../features/headerFile';
import type { Analysis } from '../project/analysis';
import { spelledIn } from './projects';
import type { KeyOf } from './uri';

export interface HeaderIn {
  readonly analysis: Analysis;
  /** As the analysis spells it. */
  readonly uri: string;
  readonly file: HeaderFile;
}

/** A settings header in each of the analyses that read it. */
export function headersIn(analyses: readonly Analysis[], uri: string, keyOf: KeyOf): readonly HeaderIn[] {
  return analyses.flatMap((analysis) => {
    const spelled = spelledIn(analysis, uri, keyOf);
    const file = spelled === undefined ? undefined : headerFile(analysis, spelled);
    return spelled === undefined || !file ? [] : [{ analysis, uri: spelled, file }];
  });
}
