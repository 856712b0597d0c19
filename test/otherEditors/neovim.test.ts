// The README's section on Neovim, followed to the letter in a headless Neovim.
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
