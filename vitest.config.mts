import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    exclude: ['**/node_modules/**', 'test/editor/**', 'test/editor-host/**'],
    testTimeout: 120_000,
  },
});
