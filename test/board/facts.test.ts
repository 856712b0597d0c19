import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { loadBoard } from '../../server/src/board/load';
import { loadMachine } from '../../server/src/machine/load';
import { checkReferences } from '../../server/src/machine/references';
import { needs } from './facts';

const read = (path: string): string => readFileSync(new URL(path, import.meta.url), 'utf8');
const board = loadBoard('file:///full.board.json', read('./full.board.json'));
const machine = loadMachine('file:///full.machine.json', read('../machine/full.machine.json'), board.profile);

/** Every value that a path leads to; '*' is any entry of a map or list. */
function at(value: unknown, path: readonly string[]): unknown[] {
  const [step, ...rest] = path;
  if (step === undefined) return value === undefined ? [] : [value];
  if (value === undefined || value === null) return [];
  const entries =
    step === '*'
      ? value instanceof Map || Array.isArray(value)
        ? [...value.values()]
        : []
      : [(value as Record<string, unknown>)[step]];
  return entries.flatMap((entry) => at(entry, rest));
}

const filled = (value: unknown): boolean =>
  value instanceof Map ? value.size > 0 : Array.isArray(value) ? value.length > 0 : value !== undefined;

describe('the formats can state every fact that a rule needs', () => {
  it('lists all ninety rules of the catalogue', () => expect(Object.keys(needs)).toHaveLength(90));

  it('the full examples have no problem', () => {
    expect(board.problems).toEqual([]);
    expect(machine.problems).toEqual([]);
    expect(machine.sheet && board.profile && checkReferences(machine.sheet, board.profile)).toEqual([]);
  });

  it.each(Object.entries(needs))('%s', (_, { board: ofBoard = [], sheet: ofSheet = [] }) => {
    const missing = [
      ...ofBoard
        .filter((path) => !at(board.profile, path.split('.')).some(filled))
        .map((path) => `board.${path}`),
      ...ofSheet
        .filter((path) => !at(machine.sheet, path.split('.')).some(filled))
        .map((path) => `sheet.${path}`),
    ];
    expect(missing).toEqual([]);
  });
});
