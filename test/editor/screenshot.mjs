// Takes the README's picture from the real editor: node test/editor/screenshot.mjs (after npm run package).
import { join } from 'node:path';
import { withEditor } from '../editor-host/launch.mjs';
import * as user from './page.mjs';
import { copySample, extensionRoot, loadExpectations } from './prepare.mjs';

const settings = {
  'workbench.colorTheme': 'Default Light Modern',
  'workbench.startupEditor': 'none',
  'editor.minimap.enabled': false,
  'editor.fontSize': 13,
  'workbench.activityBar.location': 'hidden',
  'chat.commandCenter.enabled': false,
};
const size = { width: 1000, height: 640 };
const vsix = [join(extensionRoot, 'dist', 'fettle.vsix')];
const expectations = await loadExpectations();
const workspace = copySample(expectations);

await withEditor('newest', { workspace, vsix, settings, size }, async ({ page }) => {
  await user.openFile(page, 'heat.h');
  await user.showProblems(page);
  await page
    .locator('.markers-panel-container', { hasText: 'The firmware thinks' })
    .waitFor({ timeout: 60_000 });
  await user.goToLine(page, 17);
  await user.hoverOver(page, '4700', 'pull-up');
  await page.screenshot({ path: join(extensionRoot, 'client', 'screenshot.png') });
});
