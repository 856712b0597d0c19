import { plain } from '../features/markdown';
import type { Place, TextEdit } from '../model/place';
import type { Analysis } from '../project';
import { ruleWords } from '../reports/explainRule';
import { explanationMarkdown } from '../reports/explanation';
import { readerFindings } from '../rules/readers';
import type { Finding, Remedy, Rule, Severity } from '../rules/rule';
import type { Core } from './core';
import { LineTable, textsOf } from './lines';
import { relativePath } from './paths';
import { sortedFindings } from './sorted';
import { atLeast, compare } from './tally';

/**
 * Output of `fettle check --format sarif`: Static Analysis Results Interchange Format, OASIS standard, version 2.1.0 with errata 01.
 * One run for all projects. What is shown follows `level`; allowed findings are results with a suppression.
 */
export function sarifReport(
  analyses: readonly Analysis[],
  level: Severity,
  folder: string,
  { rules, version }: Pick<Core, 'rules' | 'version'>,
): object {
  const results = analyses.flatMap((analysis) => resultsOf(analysis, level, folder));
  const known = new Set(rules.map(({ id }) => id));
  const others = [...new Set(results.map(({ ruleId }) => ruleId))]
    .filter((id) => !known.has(id))
    .sort(compare);
  const descriptors = [...rules.map(ruleDescriptor), ...others.map(readerDescriptor)];
  const index = new Map(descriptors.map(({ id }, at) => [id, at]));
  return {
    $schema: 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: { name: 'Fettle', version, semanticVersion: version, language: 'en', rules: descriptors },
        },
        invocations: [{ executionSuccessful: true }],
        // Where this folder lies is nobody's business; who reads the file knows it.
        originalUriBaseIds: { [base]: { description: { text: 'The folder that fettle was started in.' } } },
        columnKind: 'utf16CodeUnits',
        results: results.map((result) => ({ ...result, ruleIndex: index.get(result.ruleId) })),
      },
    ],
  };
}

const base = 'FOLDER';

/** SARIF has no level below "note"; the severity itself is in the result's properties. */
const levels: Record<Severity, 'error' | 'warning' | 'note'> = {
  error: 'error',
  warning: 'warning',
  info: 'note',
  hint: 'note',
};

interface Descriptor {
  readonly id: string;
  readonly [property: string]: unknown;
}

function ruleDescriptor(rule: Rule): Descriptor {
  const help = explanationMarkdown({ title: rule.title, sections: ruleWords(rule) });
  return {
    id: rule.id,
    shortDescription: { text: rule.title },
    fullDescription: { text: rule.what },
    help: { text: plain(help).trim(), markdown: help },
    defaultConfiguration: { level: levels[rule.severity[0] ?? 'warning'] },
  };
}

/** What the readers of the files say by themselves, before any rule runs. */
function readerDescriptor(id: string): Descriptor {
  const title = readerFindings.get(id);
  return title === undefined ? { id } : { id, shortDescription: { text: title } };
}

function resultsOf(analysis: Analysis, level: Severity, folder: string) {
  const lines = new LineTable(textsOf(analysis));
  const region = ({ uri, start, end }: Place) => {
    const from = lines.at(uri, start);
    const to = lines.at(uri, end);
    return { startLine: from.line, startColumn: from.column, endLine: to.line, endColumn: to.column };
  };
  const physicalLocation = (place: Place) => ({
    artifactLocation: artifactLocation(place.uri, folder),
    region: region(place),
  });
  const fix = ({ title, edits }: Remedy) => ({
    description: { text: title },
    artifactChanges: [...byFile(edits)].map(([uri, own]) => ({
      artifactLocation: artifactLocation(uri, folder),
      replacements: own.map((edit) => ({
        deletedRegion: region(edit.place),
        insertedContent: { text: edit.newText },
      })),
    })),
  });
  const seen = new Map<string, number>();
  const result = (finding: Finding, reason?: string) => {
    const name = [relativePath(finding.place.uri, folder), finding.rule, finding.concept ?? ''].join('|');
    const count = seen.get(name) ?? 0;
    seen.set(name, count + 1);
    const fixes = finding.remedies.filter(({ edits }) => edits.length > 0).map(fix);
    const related = finding.causes.map(({ place, message }) => ({
      physicalLocation: physicalLocation(place),
      message: { text: message },
    }));
    return {
      ruleId: finding.rule,
      level: levels[finding.severity],
      message: { text: messageText(finding) },
      locations: finding.place.uri === '' ? [] : [{ physicalLocation: physicalLocation(finding.place) }],
      ...(related.length > 0 && { relatedLocations: related }),
      ...(fixes.length > 0 && { fixes }),
      // Stays the same when lines move: file, rule, setting, and the how manieth of these.
      partialFingerprints: { 'ruleAndSetting/v1': `${name}|${count}` },
      // If one result of a run has this property, all must (3.27.23).
      suppressions: reason === undefined ? [] : [{ kind: 'inSource', justification: reason }],
      properties: { severity: finding.severity, ...(finding.concept && { setting: finding.concept }) },
    };
  };
  const reasons = new Map(analysis.allowed.map(({ finding, reason }) => [finding, reason]));
  return sortedFindings([...analysis.findings, ...reasons.keys()], analysis)
    .filter((finding) => atLeast(finding.severity, level))
    .map((finding) => result(finding, reasons.get(finding)));
}

/** With what is to be done by hand, and the caution: a fix can hold edits only. */
function messageText({ message, remedies, caution }: Finding): string {
  const byHand = remedies.filter(({ edits }) => edits.length === 0).map(({ title }) => asSentence(title));
  return [message, ...byHand, ...(caution ? [`Caution: ${caution}`] : [])].join('\n');
}

function byFile(edits: readonly TextEdit[]): ReadonlyMap<string, readonly TextEdit[]> {
  const files = new Map<string, TextEdit[]>();
  for (const edit of edits) files.set(edit.place.uri, [...(files.get(edit.place.uri) ?? []), edit]);
  return files;
}

const asSentence = (text: string): string => (/[.!?…]$/.test(text) ? text : `${text}.`);

/** Relative to the folder; a file outside it by its whole URI, since a relative reference must not lead upwards (3.4.4). */
function artifactLocation(uri: string, folder: string): object {
  const path = relativePath(uri, folder);
  const isOutside = path.startsWith('../') || path === uri;
  return isOutside ? { uri } : { uri: path.split('/').map(encodeURIComponent).join('/'), uriBaseId: base };
}
