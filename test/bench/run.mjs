// npm run bench: builds Fettle and the benchmark, runs it on a copy of what was built, and leaves nothing behind.
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, readdirSync, realpathSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('../..', import.meta.url)).replace(/[/\\]$/, '');
const folder = mkdtempSync(join(realpathSync(tmpdir()), 'fettle-bench-'));
const remove = () => rmSync(folder, { recursive: true, force: true });
process.on('SIGINT', () => process.exit(130));
process.on('exit', remove);

const built = spawnSync(process.execPath, ['esbuild.mjs', '--quiet'], { cwd: root, stdio: 'inherit' });
if (built.status !== 0) process.exit(1);
// A build in the meantime must not change what is measured.
for (const name of readdirSync(join(root, 'dist')).filter((file) => file.endsWith('.js'))) {
  copyFileSync(join(root, 'dist', name), join(folder, name));
}
const bundle = {
  outdir: folder,
  outExtension: { '.js': '.cjs' },
  bundle: true,
  platform: 'node',
  format: 'cjs',
  target: 'node20',
  mainFields: ['module', 'main'],
  logLevel: 'error',
};
await build({ ...bundle, entryPoints: [join(root, 'test/bench/bench.ts')] });
// Made as Fettle's server is made: the comparison is of what they do, not of how they are loaded.
await build({ ...bundle, entryPoints: [join(root, 'test/bench/emptyServer.ts')], minify: true });
await createRequire(import.meta.url)(join(folder, 'bench.cjs')).bench(process.argv.slice(2), {
  root,
  folder,
});
