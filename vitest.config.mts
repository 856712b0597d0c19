import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that take minutes, the longest first: begun last, each would keep one processor waiting at the end. */
const long = [
  'test/corpus/gcc',
  'test/corpus/clang',
  'test/syntax/c-header/incremental',
  'test/syntax/c-header/batch',
  'test/kept/check',
  'test/lsp/earlier',
  'test/machines/remedies',
  'test/lsp/carriedOn',
  'test/project/memory',
  'test/corpus/text',
];
const rank = ({ moduleId }: TestSpecification): number => {
  const index = long.findIndex((part) => moduleId.replaceAll('\\', '/').includes(part));
  return index < 0 ? long.length : index;
};

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    return (await super.sort(files)).sort((one, other) => rank(one) - rank(other));
  }
}

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    exclude: ['**/node_modules/**', 'test/editor/**', 'test/editor-host/**'],
    testTimeout: 120_000,
    globalSetup: 'test/kit/ownCache.ts',
    // The default leaves one processor of two idle.
    maxWorkers: '100%',
    sequence: { sequencer: LongestFirst },
  },
});
