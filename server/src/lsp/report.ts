import type { Diagnostic } from 'vscode-languageserver';
import { keptWith } from '../model/kept';
import type { Analysis } from '../project/analysis';
import { asciiJson } from './answerText';
import type { Client } from './client';
import { diagnosticsOf } from './diagnostics';
import type { Documents } from './documents';
import type { EarlierAnswer } from './earlierAnswer';
import { spelledIn } from './projects';
import { type KeyOf, normalise } from './uri';

/** The diagnostics of one file over all projects that speak of it, and the version of the text they are for. */
export interface FileReport {
  /** As the client spells it when it has the document open. */
  readonly uri: string;
  /** null for files that are not open. */
  readonly version: number | null;
  readonly diagnostics: readonly Diagnostic[];
  /** Changes when the text or the diagnostics do. */
  readonly resultId: string;
}

/** What there is to report of a project: by its analysis, or by an earlier one of the same texts. */
export type Reported = Analysis | EarlierAnswer;

export interface Reporter {
  /** undefined when the analyses are not of the text that the client has now. */
  report(uri: string, analyses: readonly Reported[]): FileReport | undefined;
  /** Every file of these analyses that has a report or may have one, by key. */
  files(analyses: readonly Reported[]): ReadonlyMap<string, string>;
}

export function createReporter(documents: Documents, keyOf: KeyOf, client: Client): Reporter {
  return {
    report(uri, analyses) {
      const document = documents.get(uri);
      const diagnostics: Diagnostic[] = [];
      const seen = new Set<string>();
      const marks: string[] = [];
      for (const analysis of analyses) {
        const spelled = spelledIn(analysis, uri, keyOf);
        if (spelled === undefined) continue;
        if (document && analysis.texts.get(spelled) !== document.getText()) return undefined;
        const own =
          'diagnostics' in analysis
            ? (analysis.diagnostics.get(spelled) ?? [])
            : diagnosticsOf(analysis, spelled, client);
        for (const diagnostic of own) {
          // Projects that share a file find the same in it.
          const { content, mark } = signOf(diagnostic);
          if (seen.has(content)) continue;
          seen.add(content);
          marks.push(mark);
          diagnostics.push(diagnostic);
        }
      }
      const version = document ? document.version : null;
      return {
        uri: document?.uri ?? normalise(uri),
        version,
        diagnostics,
        resultId: `${version ?? 'disk'}-${hash(marks.join('\n'))}`,
      };
    },
    files(analyses) {
      const files = new Map<string, string>();
      for (const analysis of analyses) {
        for (const uri of analysis.texts.keys()) files.set(keyOf(uri), uri);
      }
      return files;
    },
  };
}

interface Sign {
  /** The same for two that say the same at the same place. */
  readonly content: string;
  /** A short form of it. */
  readonly mark: string;
  /** The whole diagnostic as `asciiJson` has it, once it was written. */
  text?: string;
}

/** Diagnostics never change, and most of them are the same objects after an edit. */
const signs = keptWith<Diagnostic, Sign>('sign');

function signOf(diagnostic: Diagnostic): Sign {
  let sign = signs.get(diagnostic);
  if (!sign) {
    // Projects that share a file count their findings apart.
    const { data: _, ...told } = diagnostic;
    const content = JSON.stringify(told);
    sign = { content, mark: hash(content) };
    signs.set(diagnostic, sign);
  }
  return sign;
}

/** What `asciiJson` makes of a diagnostic; most of those in an answer were in the last one. */
export function textOf(diagnostic: Diagnostic): string {
  const sign = signOf(diagnostic);
  sign.text ??= asciiJson(diagnostic);
  return sign.text;
}

/** FNV-1a over two halves: enough to tell two states of one file apart. */
function hash(text: string): string {
  let a = 0x811c9dc5;
  let b = 0x01000193;
  for (let index = 0; index < text.length; index++) {
    const unit = text.charCodeAt(index);
    a = Math.imul(a ^ unit, 0x01000193);
    b = Math.imul(b ^ unit, 0x85ebca6b);
  }
  return `${text.length.toString(36)}${(a >>> 0).toString(36)}${(b >>> 0).toString(36)}`;
}
