import { describe, expect, it } from 'vitest';
import { toolAvailable } from '../kit/tools';
import { type Comparison, compare } from './compare';
import { headersOf, missingPackages, PACKAGES, readHeader } from './headers';
import { answersFor, toolchain, uriOf } from './toolchain';

const AT_ONCE = 2;

/**
 * The headers of Debian packages as a compiler sees them: after each the table of macros must be the same. Where packages are
 * missing the suite is reported as left out, with the command that brings them in; on the build server (CI is set) it fails.
 */
export function describeCorpus(command: 'gcc' | 'clang'): void {
  const missing = [...(toolAvailable(command) ? [] : [command]), ...missingPackages()];
  const suite = missing.length === 0 || process.env.CI ? describe : describe.skip;
  const title = `headers of Debian packages against ${command}`;
  suite(
    missing.length === 0 ? title : `${title} (left out: needs apt-get install ${missing.join(' ')})`,
    () => {
      /** Only every so many-th header, for a quick look. */
      const every = Number(process.env.CORPUS_EVERY ?? 1);

      it('give the table of macros that the compiler gives', { timeout: 1_800_000 }, async () => {
        expect(missing).toEqual([]);
        const all = headersOf(PACKAGES);
        expect(all.length).toBeGreaterThanOrEqual(3000);
        const compiler = toolchain(command);
        const answers = await answersFor(
          compiler,
          all.map((header) => readHeader(uriOf(header)) ?? ''),
        );
        const results: Comparison[] = [];
        const queue = all.filter((_, index) => index % every === 0).values();
        const work = async (): Promise<void> => {
          for (const header of queue) results.push(await compare(header, compiler, answers));
        };
        await Promise.all(Array.from({ length: AT_ONCE }, work));
        const accepted = results.filter((result) => result.accepted).length;
        console.log(
          `${command}: ${results.length} headers read, ${accepted} of them accepted by the compiler`,
        );
        const differences = results.flatMap(({ header, differences: own }) =>
          own.map((one) => `${header}: ${one}`),
        );
        expect(differences).toEqual([]);
      });
    },
  );
}
