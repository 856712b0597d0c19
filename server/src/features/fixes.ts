import type { TextEdit } from '../model/place';
import { allowEdit } from '../project/allowances';
import type { Analysis } from '../project/analysis';
import type { Finding } from '../rules/rule';
import { overlap } from './places';

export interface Fix {
  readonly title: string;
  readonly edits: readonly TextEdit[];
  /** The one thing to do: only ever a safe remedy that has no rival. */
  readonly preferred: boolean;
}

/** The remedies of a finding that are edits. Remedies in words are part of its message. */
export function fixesOf(finding: Finding): Fix[] {
  const remedies = finding.remedies.filter(({ safety, edits }) => safety !== 'words' && edits.length > 0);
  return remedies.map(({ title, safety, edits }) => ({
    title,
    edits,
    preferred: safety === 'safe' && remedies.length === 1,
  }));
}

/** The user writes the reason over this. */
export const reasonToFill = 'say why';

/** The comment that allows the finding's rule here; none for text that could not be read, where a comment may be misread too. */
export function allowFix(analysis: Analysis, finding: Finding): Fix | undefined {
  const text = analysis.texts.get(finding.place.uri);
  if (text === undefined || /^(?:(?:files|allow)\/|syntax\/not-text)/.test(finding.rule)) return undefined;
  return {
    title: `Allow ${finding.rule} here, with a reason`,
    edits: [allowEdit(finding.rule, reasonToFill, finding.place, text)],
    preferred: false,
  };
}

/**
 * Edits of all safe remedies of one file that have no rival, for "fix all". Remedies that touch other files are left to the user, and
 * of two that overlap the first wins; the next run gets the other.
 */
export function fixAll(analysis: Analysis, uri: string): TextEdit[] {
  const edits: TextEdit[] = [];
  for (const finding of analysis.findings) {
    if (finding.place.uri !== uri) continue;
    const offered = fixesOf(finding);
    const fix = offered.find(({ preferred }) => preferred);
    if (!fix || fix.edits.some((edit) => edit.place.uri !== uri)) continue;
    if (fix.edits.some((edit) => edits.some((taken) => overlap(taken.place, edit.place)))) continue;
    edits.push(...fix.edits);
  }
  return edits;
}
