// Runs the same suite in a desktop VS Code under @vscode/test-electron, which downloads the oldest supported version
// unless FETTLE_VSCODE_PATH names the executable of a local copy. On Linux it needs a display: xvfb-run -a node …
import { join } from 'node:path';
import { runTests } from '@vscode/test-electron';
import {
  bundleSuite,
  copySample,
  extensionRoot,
  followOutcomes,
  loadExpectations,
  makeReport,
  scratch,
} from './prepare.mjs';

const report = makeReport('Editor tests inside a desktop VS Code');
try {
  const workspace = copySample(await loadExpectations());
  const { bundle, resultFile } = await bundleSuite();
  const asRoot = process.getuid?.() === 0;
  const run = runTests({
    version: '1.100.3',
    vscodeExecutablePath: process.env.FETTLE_VSCODE_PATH,
    extensionDevelopmentPath: extensionRoot,
    extensionTestsPath: bundle,
    launchArgs: [
      workspace,
      '--disable-extensions',
      '--disable-workspace-trust',
      '--disable-telemetry',
      '--disable-updates',
      '--disable-gpu',
      '--user-data-dir',
      join(scratch, 'data'),
      '--extensions-dir',
      join(scratch, 'extensions'),
      ...(asRoot ? ['--no-sandbox'] : []),
    ],
  });
  const outcomes = followOutcomes(resultFile, report);
  // VS Code ends with an error when a test failed; it is the missing end of the list that would be news.
  const ended = run.then(
    () => undefined,
    (error) => error,
  );
  const first = await Promise.race([outcomes.then(() => 'listed'), ended]);
  if (first !== 'listed') throw first ?? new Error('VS Code ended before the suite did');
  await ended;
} catch (error) {
  report.fail('the suite ran to its end', error);
}
report.finish();
