import * as vscode from 'vscode';
import type { Finding } from '../expect';
import { fileName, lineText } from './workspace';

const patience = 60_000;
// An absence shows only over time: what VS Code's own JSON service reports comes half a second after a change.
const quietTime = 1_500;

/** A diagnostic as the tests compare it, for instance `fettle link/baud-unreachable in settings.h: #define …`. */
export function describeFinding({ rule, file, line }: Finding, source = 'fettle'): string {
  return `${source} ${rule} in ${file}: ${line}`;
}

/** Every diagnostic of the workspace, whoever reports it, described and sorted. */
export function currentFindings(): string[] {
  return vscode.languages
    .getDiagnostics()
    .filter(([uri]) => vscode.workspace.getWorkspaceFolder(uri) !== undefined)
    .flatMap(([uri, diagnostics]) => diagnostics.map((diagnostic) => describeDiagnostic(uri, diagnostic)))
    .sort();
}

function describeDiagnostic(uri: vscode.Uri, diagnostic: vscode.Diagnostic): string {
  const line = lineText(uri, diagnostic.range.start.line).trim();
  return describeFinding(
    { rule: ruleOf(diagnostic), file: fileName(uri), line },
    diagnostic.source ?? 'nobody',
  );
}

/** The rule id of a diagnostic. */
export function ruleOf({ code }: vscode.Diagnostic): string {
  return String(typeof code === 'object' ? code.value : (code ?? 'no code'));
}

/** Waits until the diagnostics of the workspace are exactly `findings` and stay so. */
export async function expectFindings(findings: readonly Finding[]): Promise<void> {
  const wanted = findings.map((finding) => describeFinding(finding)).sort();
  const same = () => currentFindings().join('\n') === wanted.join('\n');
  const difference = () => {
    const found = currentFindings();
    const list = (title: string, lines: string[]) =>
      [title, ...(lines.length ? lines : ['(none)'])].join('\n    ');
    return [list('missing:', without(wanted, found)), list('not expected:', without(found, wanted))].join(
      '\n',
    );
  };
  await until(same, difference);
  await quiet();
  if (!same()) throw new Error(`The findings changed afterwards:\n${difference()}`);
}

/** What of `lines` is not in `others`; equal lines count as often as they occur. */
export function without(lines: readonly string[], others: readonly string[]): string[] {
  const left = [...others];
  return lines.filter((line) => {
    const index = left.indexOf(line);
    if (index < 0) return true;
    left.splice(index, 1);
    return false;
  });
}

/** Waits, from one change of diagnostics to the next, until `holds`; fails with `explain()` if that never comes. */
export function until(holds: () => boolean, explain: () => string): Promise<void> {
  if (holds()) return Promise.resolve();
  return new Promise((resolve, reject) => {
    const subscription = vscode.languages.onDidChangeDiagnostics(() => {
      if (!holds()) return;
      finish();
      resolve();
    });
    const timer = setTimeout(() => {
      finish();
      reject(new Error(`Waited ${patience / 1000} s in vain.\n${explain()}`));
    }, patience);
    const finish = () => {
      clearTimeout(timer);
      subscription.dispose();
    };
  });
}

/** Waits until no diagnostics have changed for a while. */
export function quiet(): Promise<void> {
  return new Promise((resolve) => {
    const finish = () => {
      subscription.dispose();
      resolve();
    };
    let timer = setTimeout(finish, quietTime);
    const subscription = vscode.languages.onDidChangeDiagnostics(() => {
      clearTimeout(timer);
      timer = setTimeout(finish, quietTime);
    });
  });
}
