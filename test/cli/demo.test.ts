import { join } from 'node:path';
import { createColors } from 'picocolors';
import { describe, expect, it } from 'vitest';
import { demo } from '../../server/src/cli/demo';
import { analyseProject, findProjectFile } from '../../server/src/project';
import { command, coreOf, folderWith } from './kit';

const core = { ...coreOf({}), analyseProject, findProjectFile };

describe('fettle demo', () => {
  it('ends with 0 for a folder with errors, and shows them', async () => {
    const folder = folderWith({ 'mill/fettle.json': '{ "settings": ["gone.h"] }' });
    const { code, out } = await command(['demo', 'mill'], core, { folder });
    expect(code).toBe(0);
    expect(out).toContain('Fettle checks mill:');
    expect(out).toMatch(/: error: /);
    expect(out).toContain('npm start -- FOLDER');
  });

  it('fails for a folder that cannot be checked', async () => {
    const folder = folderWith({});
    expect(await command(['demo', '.'], core, { folder })).toMatchObject({ code: 2 });
  });

  it('says so when the copy came without the sample', async () => {
    const folder = folderWith({});
    const terminal = { out() {}, error() {}, colours: {} as never, width: 80, folder, program: 'fettle' };
    await expect(demo(undefined, core, terminal, folder)).rejects.toThrow('sample machine');
  });

  it('finds the sample from the program upwards', async () => {
    const folder = folderWith({ 'client/sample/half-ported/fettle.json': '{}', 'dist/cli.js': '' });
    let out = '';
    const colours = createColors(false);
    const terminal = {
      out: (text: string) => {
        out += text;
      },
      error() {},
      colours,
      width: 200,
      folder,
      program: 'fettle',
    };
    expect(await demo(undefined, core, terminal, join(folder, 'dist'))).toBe(0);
    expect(out).toContain('The sample machine in client/sample/half-ported');
  });
});
