// What an edit makes and the next one ends must go with the young heap. V8 keeps it when something old and forgotten still leads to it: a hidden
// class, a table, a WeakMap (the cases that were met are told where they are avoided: model/lazy.ts, model/kept.ts, rules/run.ts, lsp/lines.ts).

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { GCProfiler } from 'node:v8';
import { expect, test } from 'vitest';
import { analyseProject } from '../../server/src/project';
import { createMemory } from '../../server/src/project/memory';
import { writeFile } from '../bench/files';
import { machineSettings, marked, sampleFolder } from '../bench/settings';

const root = join(import.meta.dirname, '../..');

/** Bytes that collections of the young heap put into the old one, and how many collections there were. */
async function promoted(
  work: () => Promise<void>,
): Promise<{ readonly bytes: number; readonly collections: number }> {
  const profiler = new GCProfiler();
  profiler.start();
  await work();
  const { statistics } = profiler.stop();
  const old = ({
    heapSpaceStatistics,
  }: {
    readonly heapSpaceStatistics: readonly { readonly spaceName: string; readonly spaceUsedSize: number }[];
  }): number =>
    heapSpaceStatistics
      .filter(({ spaceName }) => spaceName === 'old_space' || spaceName === 'large_object_space')
      .reduce((sum, { spaceUsedSize }) => sum + spaceUsedSize, 0);
  const young = statistics.filter(({ gcType }) => gcType === 'Scavenge');
  return {
    bytes: young.reduce((sum, { beforeGC, afterGC }) => sum + old(afterGC) - old(beforeGC), 0),
    collections: young.length,
  };
}

test('an edit leaves next to nothing in the old heap', async () => {
  const { text: first } = writeFile('header', machineSettings(2000, root));
  const others = new Map(
    ['fettle.json', 'fjell32.board.json', 'wren.machine.json'].map((name) => [
      `file:///bench/${name}`,
      readFileSync(join(root, sampleFolder, name), 'utf8'),
    ]),
  );
  const value = `#define ${marked.name} `;
  const at = first.indexOf(value) + value.length;
  let text = first;
  const host = { read: async (uri: string) => (uri.endsWith('/settings.h') ? text : others.get(uri)) };
  const memory = createMemory();
  const type = async (edits: number): Promise<void> => {
    for (let edit = 0; edit < edits; edit++) {
      text = `${first.slice(0, at)}${1 + (edit % 9)}${first.slice(at + 1)}`;
      await analyseProject('file:///bench/fettle.json', host, undefined, { memory });
    }
  };
  await type(50);
  const edits = 200;
  const { bytes, collections } = await promoted(() => type(edits));
  expect(collections).toBeGreaterThan(0);
  // The text alone is 110 kB. Kept, an edit was twice that and more.
  expect(bytes / edits).toBeLessThan(text.length / 2);
});
