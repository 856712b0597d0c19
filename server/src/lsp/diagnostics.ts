import {
  type Diagnostic,
  type DiagnosticRelatedInformation,
  DiagnosticSeverity,
  DiagnosticTag,
  type Range,
} from 'vscode-languageserver';
import { hasOwnSchema } from '../features/jsonSchemaOf';
import { keptWith } from '../model/kept';
import type { Analysis } from '../project/analysis';
import type { Cause, Finding, Severity } from '../rules/rule';
import type { Client } from './client';
import { rangeOf } from './lines';
import { fileName } from './uri';

const severityNumbers: Record<Severity, DiagnosticSeverity> = {
  error: DiagnosticSeverity.Error,
  warning: DiagnosticSeverity.Warning,
  info: DiagnosticSeverity.Information,
  hint: DiagnosticSeverity.Hint,
};

/** Rules about text that does nothing: the editor fades it. */
const unnecessary: ReadonlySet<string> = new Set(['names/dead-branch']);

/** What the readers of the files say by themselves has no explanation of its own. */
const saidByReader = /^(files|allow|syntax)\//;

/** What an editor with JSON support of its own says about every JSON text. */
const jsonText: ReadonlySet<string> = new Set(['files/syntax', 'files/duplicate-key']);
/** What it also says when the text names its schema. */
const jsonSchema: ReadonlySet<string> = new Set(['files/unknown-key', 'files/wrong-shape']);

/** What of a client shapes its diagnostics: all of it is part of the key under which they are kept. */
export const diagnosticClient = [
  'relatedInformation',
  'tags',
  'diagnosticData',
  'codeLinks',
  'explainScheme',
  'editorReportsJsonSyntax',
] as const;
export type DiagnosticClient = Pick<Client, (typeof diagnosticClient)[number]>;

export interface ShownFinding {
  readonly finding: Finding;
  readonly diagnostic: Diagnostic;
}

const shown = keptWith<Analysis, Map<string, readonly ShownFinding[]>>('shown');

/** The findings of one file as the client shows them. @param uri as the analysis spells it */
export function shownFindings(
  analysis: Analysis,
  uri: string,
  client: DiagnosticClient,
): readonly ShownFinding[] {
  let files = shown.get(analysis);
  if (!files) {
    files = new Map();
    shown.set(analysis, files);
  }
  let findings = files.get(uri);
  if (!findings) {
    findings = convert(analysis, uri, client);
    files.set(uri, findings);
  }
  return findings;
}

/** @param uri as the analysis spells it */
export const diagnosticsOf = (analysis: Analysis, uri: string, client: DiagnosticClient): Diagnostic[] =>
  shownFindings(analysis, uri, client).map(({ diagnostic }) => diagnostic);

function convert(analysis: Analysis, uri: string, client: DiagnosticClient): readonly ShownFinding[] {
  const text = analysis.texts.get(uri) ?? '';
  const json = /\.jsonc?$/i.test(uri);
  const ownSchema = json && client.editorReportsJsonSyntax && hasOwnSchema(text);
  const saidByEditor = (rule: string): boolean =>
    json && client.editorReportsJsonSyntax && (jsonText.has(rule) || (ownSchema && jsonSchema.has(rule)));
  const seen = new Map<string, number>();
  return analysis.findings
    .filter((finding) => finding.place.uri === uri && !saidByEditor(finding.rule))
    .flatMap((finding) => {
      const name = `${finding.rule}|${finding.concept ?? ''}`;
      const count = seen.get(name) ?? 0;
      seen.set(name, count + 1);
      return show(analysis, finding, `${name}|${count}`, client) ?? [];
    });
}

/** A finding as it was last shown, and to whom, in which lines. */
interface LastShown {
  readonly client: DiagnosticClient;
  readonly where: string;
  readonly shown: ShownFinding;
}

/** Most findings are the same objects after an edit, and most of them stand in the lines where they stood. */
const lastShown = keptWith<Finding, LastShown>('last shown');

function show(
  analysis: Analysis,
  finding: Finding,
  id: string,
  client: DiagnosticClient,
): ShownFinding | undefined {
  const range = rangeOf(analysis, finding.place);
  if (!range) return undefined;
  const causes = finding.causes.map(({ place }) => rangeOf(analysis, place));
  const where = [id, inDigits(range), ...causes.map(inDigits)].join(' ');
  const last = lastShown.get(finding);
  if (last?.client === client && last.where === where) return last.shown;
  const diagnostic = toDiagnostic(finding, id, client, range, causes);
  const shown: ShownFinding = { finding, diagnostic };
  lastShown.set(finding, { client, where, shown });
  return shown;
}

const inDigits = (range: Range | undefined): string =>
  range ? `${range.start.line}:${range.start.character}-${range.end.line}:${range.end.character}` : '';

function toDiagnostic(
  finding: Finding,
  id: string,
  client: DiagnosticClient,
  range: Range,
  causes: readonly (Range | undefined)[],
): Diagnostic {
  const inWords = finding.remedies
    .filter((remedy) => remedy.safety === 'words')
    .map((remedy) => asSentence(remedy.title));
  const related: DiagnosticRelatedInformation[] = [];
  const told: string[] = [];
  for (const [index, cause] of finding.causes.entries()) {
    const causeRange = causes[index];
    if (client.relatedInformation && causeRange) {
      related.push({ location: { uri: cause.place.uri, range: causeRange }, message: cause.message });
    } else {
      told.push(inline(cause, causeRange?.start.line));
    }
  }
  const explanation = explanationOf(finding.rule, client);
  return {
    range,
    severity: severityNumbers[finding.severity],
    source: 'fettle',
    code: finding.rule,
    ...(explanation !== undefined && { codeDescription: { href: explanation } }),
    message: [finding.message, ...told, ...inWords].join('\n'),
    ...(related.length > 0 && { relatedInformation: related }),
    ...(client.tags && unnecessary.has(finding.rule) && { tags: [DiagnosticTag.Unnecessary] }),
    ...(client.diagnosticData && { data: { finding: id } }),
  };
}

/** Document of the client that explains a rule. */
const explanationOf = (rule: string, { codeLinks, explainScheme }: DiagnosticClient): string | undefined =>
  codeLinks && explainScheme !== undefined && !saidByReader.test(rule)
    ? `${explainScheme}:/${rule}.md`
    : undefined;

/** "pull-up at J3: 4.7 kΩ (demo.board.json, line 12)" */
const inline = (cause: Cause, line: number | undefined): string =>
  `${cause.message} (${fileName(cause.place.uri)}${line === undefined ? '' : `, line ${line + 1}`})`;

const asSentence = (words: string): string => (/[.!?…]$/.test(words) ? words : `${words}.`);
