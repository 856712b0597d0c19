// F5 in VS Code, as a person who works on Fettle has it: the task of .vscode/tasks.json builds, the configuration of
// .vscode/launch.json opens the sample in a second window, and the debugger holds extension and server.
import assert from 'node:assert/strict';
import { cpSync, existsSync, mkdirSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { withEditor } from '../editor-host/launch.mjs';
import * as user from './page.mjs';
import { extensionRoot, scratch } from './prepare.mjs';

const patience = 90_000;
/** What F5 needs of the sources; a copy, because it builds over what other tests may be running. */
const needed = ['.vscode', 'client', 'server', 'schemas', 'esbuild.mjs', 'package.json', 'tsconfig.json'];

export async function driveDebugging(report, { mainFile, boardName, projectFiles }) {
  const workspace = join(scratch, 'sources');
  mkdirSync(workspace);
  for (const name of needed) cpSync(join(extensionRoot, name), join(workspace, name), { recursive: true });
  symlinkSync(join(extensionRoot, 'node_modules'), join(workspace, 'node_modules'), 'junction');

  await withEditor('oldest', { workspace }, async ({ page, screenshot }) => {
    await page.locator('.explorer-folders-view', { hasText: 'esbuild.mjs' }).waitFor({ timeout: patience });
    await report.test('F5 builds and opens the sample machine with the extension', async () => {
      const opening = page.context().waitForEvent('page', { timeout: patience });
      // The task's terminal comes up in the panel.
      await user.pressUntil(page, 'F5', page.locator('.part.panel'));
      const opened = await opening;
      assert.ok(existsSync(join(workspace, 'dist', 'server.js.map')), 'the build has no source maps');
      const explorer = opened.locator('.explorer-folders-view');
      for (const file of projectFiles) await explorer.getByText(file).waitFor({ timeout: patience });
      await user.openFile(opened, mainFile);
      const entry = opened.locator('.statusbar-item[id$="fettle.status"]', { hasText: boardName });
      await entry.waitFor({ timeout: patience });
    });
    await report.test('the debugger holds the server too', () =>
      page.locator('.debug-call-stack', { hasText: 'server.js' }).waitFor({ timeout: patience }),
    );
    await screenshot('debugging');
  });
}
