import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { analyseProject, findProjectFile } from '../../server/src/project';
import { command, coreOf, folderWith } from './kit';

const core = { ...coreOf({}), analyseProject, findProjectFile };

const files = {
  'fettle.json': '{ "settings": ["settings.h"], "board": "b.board.json" }',
  'settings.h': '#define FAN_PART_PIN P9\n',
  'b.board.json': '{ "name": "Bench", "outputs": { "OUT-A": { "pin": "P9" } } }',
};

it('prints the picture, or writes it into a file', async () => {
  const folder = folderWith(files);
  const printed = await command(['picture'], core, { folder });
  expect(printed.code).toBe(0);
  expect(printed.out).toMatch(/^<svg xmlns="http:\/\/www.w3.org\/2000\/svg" /);
  expect(printed.out).toContain('FAN_PART_PIN P9');
  const written = await command(['picture', '.', '--output', 'board.svg'], core, { folder });
  expect(written.out).toBe('wrote  board.svg\n');
  expect(readFileSync(join(folder, 'board.svg'), 'utf8')).toBe(printed.out);
});

it('says what is missing', async () => {
  const folder = folderWith({ ...files, 'b.board.json': '{ "name": "Bench" }' });
  const { code, error, out } = await command(['picture'], core, { folder });
  expect([code, out]).toEqual([2, '']);
  expect(error).toContain('There is no board profile with connectors, outputs or drivers to draw.');
  const nowhere = await command(['picture', '-o', 'no/such/folder.svg'], core, { folder: folderWith(files) });
  expect(nowhere.code).toBe(2);
  expect(nowhere.error).toContain('Cannot write no/such/folder.svg');
  expect(existsSync(join(folder, 'no'))).toBe(false);
});
