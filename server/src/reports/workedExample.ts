import { lineFinder, lineStarts } from '../model/lines';
import type { Place, TextEdit } from '../model/place';
import { analyseProject, baseOf } from '../project';
import type { Analysis } from '../project/analysis';
import type { Finding, Rule, Severity } from '../rules/rule';
import { type ExampleProject, readExample } from './example';

/** A rule's own example, computed: the files, what the rule says to them, and what it takes to be in order. */
export interface WorkedExample {
  /** Files of the example, each finding's place marked with carets in a line of its own. */
  readonly files: readonly ExampleFile[];
  readonly findings: readonly WorkedFinding[];
  /** The example in order: the lines that differ, or whole files where most of them do. */
  readonly sound: readonly ExampleFile[];
  /** What the rule says to the example in order. */
  readonly agreements: readonly string[];
}

export interface ExampleFile {
  readonly name: string;
  readonly text: string;
}

export interface WorkedFinding {
  /** "settings.h, line 1" */
  readonly where: string;
  readonly severity: Severity;
  readonly message: string;
  readonly causes: readonly { readonly where: string; readonly message: string }[];
  readonly remedies: readonly {
    readonly title: string;
    readonly safety: 'safe' | 'ask' | 'words';
    /** "80 → 160", one an edit. */
    readonly changes: readonly string[];
  }[];
}

/** More differing lines than this are not told from the rest of a file; the files are shown whole. Chosen for reading. */
const mostDifferences = 6;

/** Runs one rule on its first example of each sort. */
export async function workExample(rule: Rule): Promise<WorkedExample> {
  const bad = readExample(rule.bad[0] ?? '');
  const good = readExample(rule.good[0] ?? '');
  const found = await analyse(rule, bad);
  const sound = await analyse(rule, good);
  const findings = found.findings.filter((finding) => finding.rule === rule.id);
  return {
    files: filesOf(bad, findings),
    findings: findings.map((finding) => workedFinding(finding, bad)),
    sound: differences(bad, good) ?? filesOf(good, []),
    agreements: [...new Set(sound.agreements.map(({ message }) => message))],
  };
}

/** The rule alone on all of its examples. */
export const exampleAnalyses = (rule: Rule): Promise<readonly Analysis[]> =>
  Promise.all([...rule.bad, ...rule.good].map((example) => analyse(rule, readExample(example))));

async function analyse(rule: Rule, example: ExampleProject): Promise<Analysis> {
  const from = (files: ReadonlyMap<string, string>) => ({ read: async (uri: string) => files.get(uri) });
  const before =
    example.base &&
    (await analyseProject(example.base.projectFile, from(example.base.files), undefined, { rules: [] }));
  return analyseProject(example.projectFile, from(example.files), undefined, {
    rules: [rule],
    base: before && baseOf(before, 'the state before', true),
  });
}

const nameOf = (uri: string, { root }: ExampleProject): string => uri.slice(root.length);

/** The files as the rule's author wrote them; a project file that was made for them is left out. */
function filesOf(example: ExampleProject, findings: readonly Finding[]): ExampleFile[] {
  return [...example.files, ...before(example)]
    .filter(([uri, text]) => !uri.endsWith('/fettle.json') || text.includes('\n'))
    .filter(([, text]) => text.trim() !== '')
    .map(([uri, text]) => ({
      name: nameOf(uri, example),
      text: marked(
        text,
        findings.map(({ place }) => place).filter((place) => place.uri === uri),
      ),
    }));
}

/** Files of the state to compare with, as far as they are not as they are now. */
const before = ({ root, files, base }: ExampleProject): [string, string][] =>
  [...(base?.files ?? [])].filter(([uri, text]) => files.get(uri.replace(`${root}base/`, root)) !== text);

function marked(text: string, places: readonly Place[]): string {
  const starts = lineStarts(text);
  return text
    .trimEnd()
    .split('\n')
    .flatMap((line, index) => {
      const lineStart = starts[index] ?? 0;
      const carets = [...line].map(() => ' ');
      for (const { start, end } of places) {
        const from = start - lineStart;
        if (from < 0 || from >= Math.max(line.length, 1)) continue;
        carets.fill('^', from, Math.max(from + 1, Math.min(end - lineStart, line.length)));
      }
      const marks = carets.join('').trimEnd();
      return marks === '' ? [line] : [line, marks];
    })
    .join('\n');
}

function workedFinding(finding: Finding, example: ExampleProject): WorkedFinding {
  const line = lineFinder(new Map([...(example.base?.files ?? []), ...example.files]));
  const where = (place: Place): string => `${nameOf(place.uri, example)}, line ${line(place) ?? 1}`;
  return {
    where: where(finding.place),
    severity: finding.severity,
    message: finding.message,
    causes: finding.causes.map(({ place, message }) => ({ where: where(place), message })),
    remedies: finding.remedies.map(({ title, safety, edits }) => ({
      title,
      safety,
      changes: edits.map((edit) => changeText(edit, example)),
    })),
  };
}

function changeText({ place, newText }: TextEdit, { files }: ExampleProject): string {
  const old = (files.get(place.uri) ?? '').slice(place.start, place.end).trim();
  const fresh = newText.trim();
  if (old === '') return `insert ${fresh}`;
  return fresh === '' ? `remove ${old}` : `${old} → ${fresh}`;
}

/** The lines of `good` that `bad` does not have, when the rest is the same; nothing when the whole says more. */
function differences(bad: ExampleProject, good: ExampleProject): ExampleFile[] | undefined {
  const names = (example: ExampleProject) => [...example.files.keys()].sort().join('\n');
  if (names(bad) !== names(good) || bad.base || good.base) return undefined;
  const files = [...good.files].flatMap(([uri, text]) => {
    const old = new Set((bad.files.get(uri) ?? '').split('\n'));
    const lines = text.split('\n').filter((line) => line.trim() !== '' && !old.has(line));
    return lines.length === 0 ? [] : [{ name: nameOf(uri, good), text: lines.join('\n') }];
  });
  const count = files.reduce((sum, { text }) => sum + text.split('\n').length, 0);
  const lost = [...bad.files].some(([uri, text]) => countLines(text) !== countLines(good.files.get(uri)));
  return lost || count === 0 || count > mostDifferences ? undefined : files;
}

const countLines = (text: string | undefined): number => (text ?? '').split('\n').length;
