import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** What the tests' programs keep must come from the tests, and stay with them: never from the user's own folder. */
export default function setup(): () => void {
  const folder = mkdtempSync(join(tmpdir(), 'fettle-cache-'));
  process.env.XDG_CACHE_HOME = folder;
  return () => rmSync(folder, { recursive: true, force: true });
}
