// A change is reviewed against the project in another folder, until the comparison is ended.

import * as user from '../page.mjs';
import { copySample } from '../prepare.mjs';

const line = '#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8';
const weakened = (row) => row.includes('review/guard-weakened');

export async function driveComparing({ page, step, picture, expectations, lineOf }) {
  const earlier = copySample(expectations, 'earlier');
  await user.openFile(page, 'heat.h');
  await step('a guard that got weaker than in an earlier folder is found', async () => {
    await user.runCommand(page, 'Fettle: Compare with an Earlier State…');
    await user.choose(page, 'folder', 'A folder');
    const path = page.locator('.quick-input-widget input.input');
    await page
      .locator('.quick-input-title', { hasText: 'Folder with the project to compare with' })
      .waitFor();
    await enterFolder(page, path, `${earlier}/`);
    await page.locator('.quick-input-action', { hasText: 'Compare' }).click();
    await path.waitFor({ state: 'hidden' });
    await user.goToLine(page, lineOf('heat.h', line));
    await page.keyboard.press('End');
    await page.keyboard.press('Backspace');
    await page.keyboard.type('18');
    await user.showProblems(page);
    await user.untilProblems(page, (rows) => rows.some(weakened), 'a review of the guard');
    await picture('comparing');
  });
  await step('an ended comparison takes its findings along', async () => {
    await user.runCommand(page, 'Fettle: Stop Comparing');
    await user.untilProblems(page, (rows) => !rows.some(weakened), 'no review');
  });
  await user.openFile(page, 'heat.h');
  await user.undoAll(page, 'heat.h');
}

/** Enters a folder into the editor's dialog, which for a while puts the open folder in its field: what it overwrote is entered again. */
async function enterFolder(page, field, folder) {
  const inFolder = page.locator('.quick-input-list .monaco-list-row', { hasText: '..' });
  await inFolder.first().waitFor();
  for (let steady = 0; steady < 10; await page.waitForTimeout(100)) {
    if ((await field.inputValue()) === folder) steady += 1;
    else {
      steady = 0;
      await field.fill(folder);
    }
  }
  await inFolder.first().waitFor();
}
