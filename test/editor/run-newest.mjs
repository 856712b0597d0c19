// Installs the packaged extension into a clean profile of the newest VS Code and uses it as a person would.
// node run-newest.mjs [FILE.vsix]
import { resolve } from 'node:path';
import { drivePackaged, packaged } from './drive/index.mjs';
import { makeReport } from './prepare.mjs';

const report = makeReport('Packaged extension in VS Code 1.139');
try {
  await drivePackaged(report, 'newest', { vsix: resolve(process.argv[2] ?? packaged), commands: true });
} catch (error) {
  report.fail('the page came up', error);
}
report.finish();
