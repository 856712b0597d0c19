/**
 * A small project written as one text: what a rule's examples are.
 *
 *     //- settings.h
 *     #define AXIS_X_STEPS_PER_MM 100
 *                                 ^^^ motion/steps-mismatch: 80 steps
 *     //- a.board.json
 *     { … }
 *
 * `//- name` starts a file. A line of blanks and carets marks the range above it with the rule and a part of the message; it is taken
 * out before anything is read. Without a `fettle.json` one is made: every header, the board profile, the machine sheet, the name maps.
 * Files below `base/` are those of the state to compare with; those that it does not have are as they are now.
 */
export interface ExampleProject {
  readonly root: string;
  readonly projectFile: string;
  readonly files: ReadonlyMap<string, string>;
  readonly marks: readonly Mark[];
  /** The project to compare with. */
  readonly base?: { readonly projectFile: string; readonly files: ReadonlyMap<string, string> };
}

export interface Mark {
  readonly uri: string;
  readonly start: number;
  readonly end: number;
  readonly rule: string;
  readonly message: string;
}

const root = 'file:///example/';
const markLine = /^[ \t]*(\^+)[ \t]*([a-z]+\/[a-z0-9-]+)[ \t]*:?[ \t]*(.*)$/;

export function readExample(source: string): ExampleProject {
  const files = new Map<string, string>();
  const marks: Mark[] = [];
  let uri = `${root}settings.h`;
  let text = '';
  let previousLine = 0;
  for (const line of trimIndent(source)) {
    const file = /^\/\/- (\S+)\s*$/.exec(line);
    if (file) {
      if (text.trim() !== '') files.set(uri, text);
      uri = root + file[1];
      text = '';
      previousLine = 0;
      continue;
    }
    const mark = markLine.exec(line);
    if (mark) {
      const start = previousLine + line.indexOf('^');
      marks.push({ uri, start, end: start + mark[1]!.length, rule: mark[2]!, message: mark[3]!.trim() });
      continue;
    }
    previousLine = text.length;
    text += `${line}\n`;
  }
  files.set(uri, text);
  const before = [...files].filter(([name]) => name.startsWith(baseRoot));
  for (const [name] of before) files.delete(name);
  const projectFile = complete(root, files);
  return { root, projectFile, files, marks, ...(before.length > 0 && { base: baseOf(before, files) }) };
}

const baseRoot = `${root}base/`;

function baseOf(
  own: readonly (readonly [string, string])[],
  now: ReadonlyMap<string, string>,
): ExampleProject['base'] {
  const names = own.map(([name]) => name.slice(baseRoot.length));
  const isReplaced = (name: string) => {
    const kind = /\.(?:board|machine|names)\.json$/.exec(name)?.[0];
    return kind !== undefined && names.some((other) => other.endsWith(kind));
  };
  const kept = [...now].filter(([name]) => !name.endsWith('fettle.json') && !isReplaced(name));
  const files = new Map(kept.map(([name, text]) => [baseRoot + name.slice(root.length), text]));
  for (const [name, text] of own) files.set(name, text);
  return { projectFile: complete(baseRoot, files), files };
}

/** @returns the project file, made where there is none */
function complete(folder: string, files: Map<string, string>): string {
  const projectFile = `${folder}fettle.json`;
  if (!files.has(projectFile)) files.set(projectFile, makeProjectFile(folder, files));
  return projectFile;
}

function trimIndent(source: string): string[] {
  const lines = source
    .replace(/^\n/, '')
    .replace(/\n[ \t]*$/, '')
    .split('\n');
  const indents = lines.filter((line) => line.trim() !== '').map((line) => /^ */.exec(line)![0].length);
  const indent = Math.min(...indents);
  return lines.map((line) => line.slice(Math.min(indent, /^ */.exec(line)![0].length)));
}

function makeProjectFile(folder: string, files: ReadonlyMap<string, string>): string {
  const names = [...files.keys()].map((uri) => uri.slice(folder.length));
  const one = (ending: string) => names.find((name) => name.endsWith(ending));
  const maps = names.filter((name) => name.endsWith('.names.json'));
  return JSON.stringify({
    settings: names.filter((name) => name.endsWith('.h')),
    board: one('.board.json'),
    machine: one('.machine.json'),
    ...(maps.length > 0 ? { names: maps } : {}),
  });
}
