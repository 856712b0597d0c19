/** In place of node:child_process: what needs it is left out of the suite where files are on no disk. */
export function execFileSync(): never {
  throw new Error('There are no processes in a browser.');
}
