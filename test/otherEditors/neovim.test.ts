// The README's section on Neovim, followed to the letter in a headless Neovim.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { describeWithTool } from '../kit/tools';
import { makeProject, root, runEditor } from './project';
import { snippet } from './readme';
import { userSession } from './scenario';

userSession({
  name: 'Neovim',
  program: 'nvim',
  language: 'lua',
  configuration: '.config/nvim/init.lua',
  driver: 'neovim.lua',
  arguments: (driver) => ['--headless', '-u', 'NONE', '-i', 'NONE', '-c', `luafile ${driver}`, '-c', 'qall!'],
  folder: 'Wren Ω #2, 100 %',
  columns: 'bytes',
  related: true,
});

// Neovim 0.8 and newer keep the clients themselves (`:help vim.lsp.start()`); what they are asked for is seen in a stand-in.
describeWithTool('nvim', 'the README on newer Neovims', () => {
  it('asks for one client, with the folder of fettle.json as its root', () => {
    const scratch = mkdtempSync(join(tmpdir(), 'fettle-editor-'));
    try {
      const { folder } = makeProject(join(scratch, 'machine'));
      const lua = join(scratch, 'init.lua');
      const note = `vim.lsp.start = function(config) io.stdout:write(vim.json.encode(config), '\\n') end\n`;
      writeFileSync(lua, note + snippet('Neovim', 'lua', root));
      mkdirSync(join(folder, 'more'));
      const open = ['more/new.h', 'fjell32.board.json', '../outside.h'].flatMap((file) => [
        '-c',
        `edit ${file}`,
      ]);
      const start = ['--headless', '-u', 'NONE', '-i', 'NONE', '--cmd', 'filetype on'];
      const said = runEditor('nvim', [...start, '-c', `luafile ${lua}`, ...open, '-c', 'qall!'], {}, folder);
      const started = said.split('\n').filter((line) => line.startsWith('{'));
      const config = {
        name: 'fettle',
        cmd: ['node', join(root, 'dist/server.js'), '--stdio'],
        root_dir: folder,
      };
      expect(started.map((line) => JSON.parse(line))).toEqual([config, config]);
    } finally {
      rmSync(scratch, { recursive: true, force: true });
    }
  });
});
