// The README's section on Emacs, followed to the letter in a headless Emacs with Eglot.
import { userSession } from './scenario';

userSession({
  name: 'Emacs',
  program: 'emacs',
  language: 'elisp',
  configuration: '.emacs.d/init.el',
  driver: 'emacs.el',
  arguments: (driver) => ['--fg-daemon=fettle-test', '-l', driver],
  // Eglot 1.9 takes the bytes of an escaped URI for characters, so that only ASCII names a folder there.
  folder: 'Wren #2, 100 %',
  columns: 'characters',
  related: false,
});
