// Runs the suite inside the extension host of the oldest VS Code that Fettle supports, opens the sample untrusted, starts it by F5,
// and drives the package.
import { withEditor, withTimeout } from '../editor-host/launch.mjs';
import { drivePackaged } from './drive/index.mjs';
import { driveDebugging } from './drive-debugging.mjs';
import { driveRestricted } from './drive-restricted.mjs';
import {
  bundleSuite,
  copySample,
  extensionRoot,
  followOutcomes,
  loadExpectations,
  makeReport,
} from './prepare.mjs';

const timeLimit = 5 * 60_000;

const report = makeReport('Editor tests inside VS Code 1.100');
try {
  const expectations = await loadExpectations();
  const workspace = copySample(expectations);
  const { bundle, resultFile } = await bundleSuite();
  const onServer = ({ port }, path) => `vscode-remote://localhost:${port}${path}`;
  // The web workbench takes the options of a development host, as the desktop's command line does.
  const payload = (host) => [
    ['extensionDevelopmentPath', onServer(host, extensionRoot)],
    ['extensionTestsPath', onServer(host, bundle)],
  ];
  // Git is there for the test of comparisons, and looks at no folder by itself.
  const settings = { 'git.enabled': true, 'git.autoRepositoryDetection': false };
  await withEditor('oldest', { workspace, payload, settings }, async ({ host, screenshot }) => {
    const ended = host.exited.then((reason) => Promise.reject(new Error(reason)));
    const outcomes = followOutcomes(resultFile, report);
    await withTimeout(Promise.race([outcomes, ended]), timeLimit, 'The suite did not come to its end');
    await screenshot('end');
  });
  await driveRestricted(report, expectations, workspace);
  await driveDebugging(report, expectations);
  await drivePackaged(report, 'oldest');
} catch (error) {
  report.fail('all of it ran to its end', error);
}
report.finish();
