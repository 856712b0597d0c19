// The text that is left of a header after preprocessing, token for token, on a sample of the headers.
import { describe, expect, it } from 'vitest';
import { preprocess } from '../../server/src/syntax/c-header';
import { toolAvailable } from '../kit/tools';
import { random, sample } from '../kit/variations';
import { solid } from '../syntax/c-header/compiler';
import { foldersFor, headersOf, missingPackages, PACKAGES, readHeader } from './headers';
import { answersFor, ask, optionsFor, type Toolchain, toolchain, uriOf } from './toolchain';

const SEED = Number(process.env.SEED ?? 20262);
const HEADERS = Number(process.env.CORPUS_TEXTS ?? 200);

for (const command of ['gcc', 'clang'] as const) {
  const missing = [...(toolAvailable(command) ? [] : [command]), ...missingPackages()];
  const suite = missing.length === 0 || process.env.CI ? describe : describe.skip;
  const title = `texts of Debian's headers against ${command}`;
  suite(
    missing.length === 0 ? title : `${title} (left out: needs apt-get install ${missing.join(' ')})`,
    () => {
      it(`${HEADERS} headers (seed ${SEED}) come out as the compiler preprocesses them`, {
        timeout: 600_000,
      }, async () => {
        const all = headersOf(PACKAGES);
        const compiler = toolchain(command);
        const answers = await answersFor(
          compiler,
          all.map((header) => readHeader(uriOf(header)) ?? ''),
        );
        const differences: string[] = [];
        let accepted = 0;
        for (const header of sample(all, HEADERS, random(SEED))) {
          const theirs = await theirText(header, compiler);
          if (theirs === undefined) continue;
          accepted++;
          const own = ownText(header, compiler, answers);
          if (own !== theirs) differences.push(`${header}: ${firstDifference(own, theirs)}`);
        }
        console.log(`${command}: the text of ${accepted} headers is compared`);
        expect(differences).toEqual([]);
        if (HEADERS >= 200) expect(accepted).toBeGreaterThanOrEqual(150);
      });
    },
  );
}

/** undefined when the compiler refuses the header; then the comparison of tables asks whether the reader does. */
async function theirText(header: string, { command }: Toolchain): Promise<string | undefined> {
  // gcc prints some tokens twice unless it forgets where they come from.
  const quirks = command === 'gcc' ? ['-ftrack-macro-expansion=0'] : [];
  const folders = foldersFor(header).map((folder) => `-I${folder}`);
  const { output, failed } = await ask(command, ['-w', '-P', ...quirks, ...folders, header]);
  return failed ? undefined : solid(output);
}

function ownText(header: string, compiler: Toolchain, answers: Parameters<typeof optionsFor>[2]): string {
  const { predefined, ...options } = optionsFor(compiler, foldersFor(header), answers);
  const { text } = preprocess({ entry: uriOf(header), read: readHeader, ...options, define: predefined });
  // `__FILE__` is the name by which the reader knows a file, a URI.
  return solid(text.replaceAll('"file:///', '"/'));
}

function firstDifference(own: string, theirs: string): string {
  let at = 0;
  while (own[at] === theirs[at]) at++;
  const around = (text: string) => text.slice(Math.max(0, at - 60), at + 60);
  return `…${around(own)}… is …${around(theirs)}… to the compiler`;
}
