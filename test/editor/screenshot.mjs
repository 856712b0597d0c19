// Takes the README's pictures from the real editor: node test/editor/screenshot.mjs (after npm run package).
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { withEditor } from '../editor-host/launch.mjs';
import { packaged } from './drive/index.mjs';
import * as user from './page.mjs';
import { smallScreenshot } from './palette.mjs';
import { pictureBoard, pictureCompletion, pictureFinding } from './pictures.mjs';
import { copySample, extensionRoot, loadExpectations } from './prepare.mjs';

const pictures = [
  ['finding', pictureFinding, 760],
  ['board', pictureBoard, 860],
  ['completion', pictureCompletion, 560],
];
const settings = {
  'editor.hover.above': false,
  'chat.commandCenter.enabled': false,
  'editor.stickyScroll.enabled': false,
};
const workspace = copySample(await loadExpectations());
const size = { width: 1100, height: 760 };

await withEditor('newest', { workspace, vsix: [packaged], settings, size }, async ({ page }) => {
  await user.openFile(page, 'settings.h');
  // The status entry counts the findings when they are there.
  await page
    .locator('.statusbar-item[id$="fettle.status"]', { hasText: /Fjell 32.*\d/ })
    .waitFor({ timeout: 90_000 });
  await page.keyboard.press('Control+B');
  await user.runCommand(page, 'View: Close All Editors');
  for (const [name, show, height] of pictures) {
    await page.setViewportSize({ ...size, height });
    await show(page);
    const picture = await smallScreenshot(page);
    writeFileSync(join(extensionRoot, 'client', `screenshot-${name}.png`), picture);
    console.log(`client/screenshot-${name}.png: ${Math.round(picture.length / 1000)} kB`);
  }
});
