import board from '../../../schemas/board.schema.json';
import machine from '../../../schemas/machine.schema.json';
import names from '../../../schemas/names.schema.json';
import project from '../../../schemas/project.schema.json';
import type { FileKind } from './jsonFiles';

/** The kinds of Fettle's own files. */
export const fileKinds: readonly FileKind[] = [
  { pattern: 'fettle.json', schemaName: 'project.schema.json', schema: project },
  { pattern: '*.board.json', schemaName: 'board.schema.json', schema: board },
  { pattern: '*.machine.json', schemaName: 'machine.schema.json', schema: machine },
  { pattern: '*.names.json', schemaName: 'names.schema.json', schema: names },
];
