import type { Host } from '../../server/src/project/host';

export const memoryHost = (files: ReadonlyMap<string, string>): Host => ({
  read: async (uri) => files.get(uri),
});
