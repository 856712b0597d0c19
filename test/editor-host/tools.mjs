// Programs the editor tests borrow from the system.
import { accessSync, constants, statSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/** Path of a Chromium-like browser, or undefined. FETTLE_CHROMIUM overrides the search. */
export function findChromium() {
  const names = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];
  return process.env.FETTLE_CHROMIUM ?? names.map(findOnPath).find(Boolean);
}

/** Full path of an executable file on PATH, or undefined. */
export function findOnPath(name) {
  return (process.env.PATH ?? '')
    .split(delimiter)
    .filter(Boolean)
    .map((folder) => join(folder, name))
    .find(isExecutable);
}

function isExecutable(path) {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}
