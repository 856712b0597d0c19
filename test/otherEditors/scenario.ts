// One session of a user with the sample, the same in every editor; what the editor showed is compared with the command line.
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { describeWithTool } from '../kit/tools';
import { type Finding, makeProject, type Project, root, runEditor } from './project';
import { snippet } from './readme';

export interface Editor {
  readonly name: string;
  readonly program: 'nvim' | 'emacs';
  readonly language: string;
  /** Where a user's configuration lies below his home. */
  readonly configuration: string;
  /** The editor, headless, running the driver. */
  arguments(driver: string, home: string): readonly string[];
  readonly driver: string;
  /** How the editor counts within a line. */
  readonly columns: 'bytes' | 'characters';
  /** Name of the project's folder, with what has to be escaped in a URI. */
  readonly folder: string;
  /** Shows causes in other files by itself; else they are part of the message. */
  readonly related: boolean;
}

/** A finding as the editor has it: lines from 1, columns from 0 in its own counting. */
interface Shown {
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
  readonly severity: number;
  readonly code: string;
  readonly message: string;
}

interface Report {
  /** What went wrong in the driver, and what the editor said meanwhile. */
  readonly error?: string;
  readonly messages: string;
  /** With an error: the last messages between editor and server, where the editor keeps them. */
  readonly events?: string;
  readonly diagnostics: Record<string, readonly Shown[]>;
  /** A board changed behind the editor, and changed back. */
  readonly boardChanged: { readonly gone: boolean; readonly back: boolean };
  readonly hover: string;
  readonly hoverOnBranch: string;
  readonly offered: readonly string[];
  readonly goneAfterFix: boolean;
  readonly definition: { readonly file: string; readonly line: number };
  readonly completion: readonly string[];
}

const pullUp = {
  file: 'heat.h',
  line: 17,
  name: 'TOOL_0_SENSOR_PULL_UP_OHM',
  code: 'sensing/pullup-mismatch',
};
const severities = ['', 'error', 'warning', 'info', 'hint'];

export function userSession(editor: Editor): void {
  describeWithTool(editor.program, `the README on ${editor.name}`, () => {
    let scratch: string;
    let project: Project;
    let before: readonly Finding[];
    let texts: Record<string, string>;
    let report: Report;
    let said: string;

    beforeAll(() => {
      if (!existsSync(join(root, 'dist/server.js'))) throw new Error('not built: node esbuild.mjs');
      scratch = mkdtempSync(join(tmpdir(), 'fettle-editor-'));
      project = makeProject(join(scratch, editor.folder));
      before = project.findings();
      texts = Object.fromEntries(filesOf(before).map((file) => [file, project.read(file)]));
      const home = join(scratch, 'home');
      const configuration = join(home, editor.configuration);
      mkdirSync(join(configuration, '..'), { recursive: true });
      writeFileSync(configuration, snippet(editor.name, editor.language, root));
      const plan = join(scratch, 'plan.json');
      writeFileSync(plan, JSON.stringify(planFor(project, before, join(scratch, 'report.json'))));
      said = runEditor(
        editor.program ?? '',
        editor.arguments(join(import.meta.dirname, editor.driver), home),
        {
          HOME: home,
          LC_ALL: 'C.UTF-8',
          XDG_CONFIG_HOME: join(home, '.config'),
          XDG_DATA_HOME: join(home, '.local/share'),
          XDG_STATE_HOME: join(home, '.local/state'),
          XDG_CACHE_HOME: join(home, '.cache'),
          FETTLE_PLAN: plan,
        },
      );
      const written = join(scratch, 'report.json');
      if (!existsSync(written)) throw new Error(`${editor.name} ended without a report:\n${said}`);
      report = JSON.parse(readFileSync(written, 'utf8'));
      if (report.error) throw new Error([report.error, report.messages, said, report.events].join('\n'));
    }, 260_000);
    afterAll(() => rmSync(scratch, { recursive: true, force: true }));

    it('shows what the command line finds: file, place, severity, code and words', () => {
      const expected = before.map((finding) => ({
        file: finding.file,
        line: finding.line,
        column: finding.column,
        endLine: finding.endLine,
        endColumn: finding.endColumn,
        severity: finding.severity,
        code: finding.rule,
        message: toldIn(editor, finding),
      }));
      const shown = Object.entries(report.diagnostics).flatMap(([file, diagnostics]) =>
        diagnostics.map(({ severity, ...diagnostic }) => ({
          file,
          ...diagnostic,
          column: column(editor, texts[file], diagnostic.line, diagnostic.column),
          endColumn: column(editor, texts[file], diagnostic.endLine, diagnostic.endColumn),
          severity: severities[severity],
        })),
      );
      expect(sorted(shown)).toEqual(sorted(expected));
      expect(filesOf(before)).toEqual(['heat.h', 'motion.h', 'pins.h', 'settings.h', 'wren.machine.json']);
    });

    it('counts columns right behind signs of two, three and four bytes', () => {
      // UTF-16 (the protocol's default, RFC 2781) takes two units for U+1F525, and one for Ω and –.
      const places = before.filter(({ line, file }) => texts[file]?.split('\n')[line - 1]?.includes('🔥'));
      expect(places.map(({ file, column }) => [file, column]).sort()).toEqual([
        ['heat.h', 1 + '/* Ω – 🔥 */ #define TOOL_0_SENSOR_PULL_UP_OHM '.length],
        ['wren.machine.json', 1 + '  /* Ω – 🔥 */ '.length],
      ]);
    });

    it('notices that a file nobody has open changes on the disk', () => {
      expect(report.boardChanged).toEqual({ gone: true, back: true });
    });

    it('shows the hover as text a terminal can show', () => {
      expect(report.hover).toContain('4700 Ω');
      expect(report.hover).toContain('pull-up at T0 (board profile): 2.2 kΩ ±1 % (fjell32.board.json:78)');
      expect(report.hoverOnBranch).toContain('TOOL_COUNT > 1, and TOOL_COUNT is 1.');
      for (const text of [report.hover, report.hoverOnBranch])
        expect(text).not.toMatch(/command:|file:|data:|\]\(|\\/);
    });

    it('applies a quick fix', () => {
      expect(report.offered).toContain('Set TOOL_0_SENSOR_PULL_UP_OHM to 2200');
      expect(report.goneAfterFix).toBe(true);
      const { file, line, code } = pullUp;
      expect(before).toContainEqual(expect.objectContaining({ file, line, rule: code }));
      expect(project.findings()).not.toContainEqual(expect.objectContaining({ file, line, rule: code }));
    });

    it('leaves the files as fix and renaming make them, and no others changed', () => {
      for (const [file, text] of Object.entries(texts)) {
        const mended = text.replace(`${pullUp.name} 4700`, `${pullUp.name} 2200`);
        expect(project.read(file)).toBe(mended.replaceAll('BELT_STEPS', 'STEPS_BY_BELT'));
      }
    });

    it('leads from a pin to its connector on the board', () => {
      const line = project
        .read('fjell32.board.json')
        .split('\n')
        .findIndex((text) => text.includes('"pin": "PB5"'));
      expect(report.definition).toEqual({ file: 'fjell32.board.json', line: line + 1 });
    });

    it('completes a name', () => {
      expect(report.completion).toContain('FAN_ELECTRONICS_PIN');
    });
  });
}

function planFor(project: Project, before: readonly Finding[], report: string) {
  const board = 'fjell32.board.json';
  const there = project.read(board);
  const changed = there.replace(/("T0": \{[^}]*?"resistance": ")2\.2 kΩ/, '$14.7 kΩ');
  if (changed === there) throw new Error('the board is the same');
  return {
    folder: project.folder,
    report,
    files: filesOf(before).map((file) => ({ file, count: before.filter((one) => one.file === file).length })),
    board: { file: board, there, changed },
    pullUp: { ...pullUp, at: '4700', fix: 'Set TOOL_0_SENSOR_PULL_UP_OHM to 2200' },
    branch: { file: 'heat.h', line: 22, at: 'HIGH' },
    definition: {
      file: 'pins.h',
      line:
        project
          .read('pins.h')
          .split('\n')
          .findIndex((line) => line.endsWith('PB5')) + 1,
      at: 'PB5',
    },
    rename: { file: 'motion.h', line: 7, at: 'BELT_STEPS', to: 'STEPS_BY_BELT' },
    completion: { file: 'heat.h', typed: '#define FAN_ELECTR' },
  };
}

const filesOf = (findings: readonly Finding[]): string[] =>
  [...new Set(findings.map(({ file }) => file))].sort();

/** The words of a finding for a client that does or does not show causes in other places. */
function toldIn({ related }: Editor, { message, causes, remedies }: Finding): string {
  const told = causes.map(({ message, file, line }) => `${message} (${file}, line ${line})`);
  const words = remedies
    .filter(({ safety }) => safety === 'words')
    .map(({ title }) => (/[.!?…]$/.test(title) ? title : `${title}.`));
  return [message, ...(related ? [] : told), ...words].join('\n');
}

/** The editor's column in UTF-16 units from 1. */
function column({ columns }: Editor, text: string | undefined, line: number, at: number): number {
  const content = text?.split('\n')[line - 1] ?? '';
  const before =
    columns === 'bytes'
      ? Buffer.from(content).subarray(0, at).toString('utf8')
      : [...content].slice(0, at).join('');
  return before.length + 1;
}

const sorted = <
  T extends { readonly file: string; readonly line: number; readonly column: number; readonly code: string },
>(
  list: readonly T[],
): T[] => {
  const key = ({ file, line, column, code }: T) =>
    `${file} ${String(line).padStart(6)} ${String(column).padStart(6)} ${code}`;
  return [...list].sort((a, b) => (key(a) < key(b) ? -1 : 1));
};
