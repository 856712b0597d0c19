import board from '../../../schemas/board.schema.json';
import type { FileKind } from './jsonFiles';

/** The kinds of Fettle's own files. */
export const fileKinds: readonly FileKind[] = [
  { pattern: '*.board.json', schemaName: 'board.schema.json', schema: board },
];
