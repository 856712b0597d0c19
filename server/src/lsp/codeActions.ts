import {
  type CodeAction,
  CodeActionKind,
  type CodeActionParams,
  type Diagnostic,
  type Range,
} from 'vscode-languageserver';
import { allowFix, type Fix, fixAll, fixesOf } from '../features/fixes';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { fixAllKind } from './codeActionKinds';
import { type ShownFinding, shownFindings } from './diagnostics';
import type { Documents } from './documents';
import { toWorkspaceEdit } from './edits';
import { spelledIn } from './projects';
import { type NewNames, teachingActions } from './teaching';
import type { KeyOf } from './uri';

export function codeActions(
  params: CodeActionParams,
  analyses: readonly Analysis[],
  client: Client,
  documents: Documents,
  keyOf: KeyOf,
  newNames: NewNames = () => undefined,
): CodeAction[] {
  const wanted = (kind: string) =>
    params.context.only === undefined ||
    params.context.only.some((only) => only === '' || kind === only || kind.startsWith(`${only}.`));
  const actions: CodeAction[] = [];
  const titles = new Set<string>();
  for (const analysis of analyses) {
    const uri = spelledIn(analysis, params.textDocument.uri, keyOf);
    if (uri === undefined) continue;
    const make = (fix: Fix, diagnostic: Diagnostic, fill: boolean): void => {
      const edit = toWorkspaceEdit(analysis, fix.edits, client, documents, fill);
      // Projects that share a file offer the same remedy.
      const key = JSON.stringify([fix.title, edit]);
      if (!edit || titles.has(key)) return;
      titles.add(key);
      actions.push({
        title: fix.title,
        kind: CodeActionKind.QuickFix,
        diagnostics: [diagnostic],
        edit,
        ...(fix.preferred && client.preferredActions && { isPreferred: true }),
      });
    };
    if (wanted(CodeActionKind.QuickFix)) {
      const meant = shownFindings(analysis, uri, client)
        .filter((shown) => isMeant(shown, params))
        .sort((one, other) => Number(isAt(other, params)) - Number(isAt(one, params)));
      for (const { finding, diagnostic } of meant) {
        for (const fix of fixesOf(finding)) make(fix, asSent(diagnostic, params), false);
      }
      for (const { finding, diagnostic } of meant) {
        const fix = allowFix(analysis, finding);
        if (fix) make(fix, asSent(diagnostic, params), true);
      }
    }
    const unknownName = shownFindings(analysis, uri, client).filter(
      (shown) =>
        shown.finding.rule === 'names/unknown-setting' && touches(shown.diagnostic.range, params.range),
    );
    const about = unknownName.map(({ diagnostic }) => asSent(diagnostic, params));
    for (const action of teachingActions(params, analysis, uri, wanted, about, client, documents, newNames)) {
      const key = JSON.stringify([action.title, action.edit]);
      if (!titles.has(key)) actions.push(action);
      titles.add(key);
    }
    if (params.context.only && wanted(fixAllKind)) {
      const edits = fixAll(analysis, uri);
      const edit = edits.length > 0 ? toWorkspaceEdit(analysis, edits, client, documents) : undefined;
      if (edit) actions.push({ title: 'Apply all safe fixes', kind: fixAllKind, edit });
    }
  }
  return actions;
}

/**
 * Findings that the client names in the lines of the range, or, when it names none of ours, those that the range touches. Some clients
 * name all of a line wherever the cursor stands in it.
 */
function isMeant(shown: ShownFinding, params: CodeActionParams): boolean {
  const { diagnostic } = shown;
  const ours = params.context.diagnostics.filter(({ source }) => source === 'fettle');
  if (ours.length === 0) return isAt(shown, params);
  return (
    ours.some((sent) => isSame(sent, diagnostic)) &&
    diagnostic.range.start.line <= params.range.end.line &&
    params.range.start.line <= diagnostic.range.end.line
  );
}

const isAt = ({ diagnostic }: ShownFinding, { range }: CodeActionParams): boolean =>
  touches(diagnostic.range, range);

/** The diagnostic as the client has it, so that it finds its own again. */
const asSent = (diagnostic: Diagnostic, params: CodeActionParams): Diagnostic =>
  params.context.diagnostics.find((sent) => isSame(sent, diagnostic)) ?? diagnostic;

/** By its words too: some clients send columns back in another unit than they got them. */
const isSame = (sent: Diagnostic, own: Diagnostic): boolean =>
  sent.code === own.code &&
  (sameRange(sent.range, own.range) ||
    sameData(sent, own) ||
    (sent.message === own.message && sent.range.start.line === own.range.start.line));

const sameData = (one: Diagnostic, other: Diagnostic): boolean =>
  one.data !== undefined && JSON.stringify(one.data) === JSON.stringify(other.data);

const sameRange = (one: Range, other: Range): boolean =>
  compare(one, other, 'start', 'start') === 0 && compare(one, other, 'end', 'end') === 0;

const touches = (one: Range, other: Range): boolean =>
  compare(one, other, 'start', 'end') <= 0 && compare(other, one, 'start', 'end') <= 0;

const compare = (one: Range, other: Range, a: 'start' | 'end', b: 'start' | 'end'): number =>
  one[a].line - other[b].line || one[a].character - other[b].character;
