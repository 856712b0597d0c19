import { URI, Utils } from 'vscode-uri';
import type { Analyse } from '../../server/src/lsp/projects';
import type { Machine } from '../../server/src/machine/machine';
import type { Analysis } from '../../server/src/project/analysis';
import { Cancelled } from '../../server/src/project/host';
import type { Finding } from '../../server/src/rules/rule';

/**
 * A core small enough to predict, for tests of the protocol alone: `fettle.json` lists files, every `BAD…` in one of them is an error,
 * and a file that repeats another file's `SAME=n` with another n is told so with the other as the cause.
 */
export function fakeCore(steps = 0): {
  readonly analyse: Analyse;
  readonly runs: string[];
  finished(): number;
} {
  const runs: string[] = [];
  let finished = 0;
  let running = 0;
  const analyse: Analyse = async (projectFile, host, token) => {
    if (running++ > 0) throw new Error('two analyses at once');
    try {
      runs.push(projectFile);
      const texts = new Map<string, string>();
      const dependsOn = new Set([projectFile]);
      const read = async (uri: string) => {
        dependsOn.add(uri);
        const text = await host.read(uri);
        if (text !== undefined) texts.set(uri, text);
        return text;
      };
      const names = ((await read(projectFile)) ?? '').match(/[\w./-]+\.\w+/g) ?? [];
      const root = Utils.dirname(URI.parse(projectFile));
      for (const name of names) await read(Utils.joinPath(root, name).toString());
      for (let step = 0; step < steps; step++) {
        await new Promise((resolve) => setTimeout(resolve, 2));
        if (token?.isCancellationRequested) throw new Cancelled();
      }
      finished++;
      return analysisOf(projectFile, texts, dependsOn);
    } finally {
      running--;
    }
  };
  return { analyse, runs, finished: () => finished };
}

function analysisOf(
  projectFile: string,
  texts: ReadonlyMap<string, string>,
  dependsOn: ReadonlySet<string>,
): Analysis {
  const findings: Finding[] = [];
  let first: { uri: string; start: number; end: number; value: string } | undefined;
  for (const [uri, text] of texts) {
    for (const { 0: word, index } of text.matchAll(/BAD\w*/g)) {
      const place = { uri, start: index, end: index + word.length };
      findings.push({
        rule: 'names/wrong-type',
        severity: 'error',
        place,
        message: `${word} is bad.`,
        causes: [],
        remedies: [{ title: 'Make it good', safety: 'safe', edits: [{ place, newText: 'GOOD' }] }],
      });
    }
    for (const { 0: word, 1: value = '', index } of text.matchAll(/SAME=(\d+)/g)) {
      const place = { uri, start: index, end: index + word.length };
      first ??= { ...place, value };
      if (value === first.value) continue;
      findings.push({
        rule: 'link/rate-disagrees',
        severity: 'warning',
        place,
        message: `${value} here, ${first.value} there.`,
        causes: [{ place: first, message: 'the other one' }],
        remedies: [
          {
            title: 'Change both',
            safety: 'ask',
            edits: [
              { place, newText: 'SAME=1' },
              { place: first, newText: 'SAME=1' },
            ],
          },
        ],
      });
    }
  }
  return {
    files: {
      projectFile,
      root: projectFile.replace(/[^/]*$/, ''),
      settings: [...texts.keys()].slice(1),
      names: [],
    },
    texts,
    dependsOn,
    machine: emptyMachine,
    findings,
    allowed: [],
    agreements: [],
    missing: [],
    looks: new Map(),
    boardName: 'demo board',
  };
}

const emptyMachine = {
  settings: { all: [], concepts: new Map() },
  text: { entries: [], problems: [], comments: [], files: [], missing: [], uses: new Map() },
  axes: [],
  inputs: [],
  zones: [],
  fans: [],
  links: [],
  pinUses: [],
} as unknown as Machine;
