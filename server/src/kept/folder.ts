import { homedir } from 'node:os';
import { isAbsolute, join } from 'node:path';

/**
 * Where answers are kept: `fettle` in the user's folder for what can be made again. Nothing when there is no such folder to name.
 * Source: XDG Base Directory Specification 0.8 (a relative path in XDG_CACHE_HOME counts as none); macOS and Windows: common practice,
 * no source.
 */
export function keptFolder(
  env: NodeJS.ProcessEnv = process.env,
  platform: NodeJS.Platform = process.platform,
  home: () => string = homedir,
): string | undefined {
  try {
    const own = platform === 'win32' ? env.LOCALAPPDATA : undefined;
    const chosen = [env.XDG_CACHE_HOME, own].find((path) => path !== undefined && isAbsolute(path));
    const usual = platform === 'darwin' ? ['Library', 'Caches'] : ['.cache'];
    const folder = chosen ?? join(home(), ...usual);
    return isAbsolute(folder) ? join(folder, 'fettle') : undefined;
  } catch {
    return undefined;
  }
}
