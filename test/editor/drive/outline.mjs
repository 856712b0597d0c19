// The outline, the way back from it, and folds.
import * as user from '../page.mjs';

export async function driveOutline({ page, step, lineOf }) {
  await user.openFile(page, 'heat.h');
  await step('the outline lists the parts by name; Enter leads to one', async () => {
    await user.runCommand(page, 'Explorer: Focus on Outline View');
    const tree = page.locator('.outline-tree');
    const row = (name) => tree.locator('.monaco-list-row', { hasText: name }).first();
    await row('Converter').waitFor();
    await tree.locator('.monaco-list').first().focus();
    await page.keyboard.press('Home');
    for (let turn = 0; turn < 40; turn += 1) {
      if (await tree.locator('.monaco-list-row.focused', { hasText: 'Tool 0 sensor pull-up' }).count()) break;
      await page.keyboard.press('ArrowDown');
    }
    await page.keyboard.press('Enter');
    await user.untilOnLine(page, lineOf('heat.h', '#define TOOL_0_SENSOR_PULL_UP_OHM'));
  });
  await step('a branch is folded by keyboard', async () => {
    await user.goToLine(page, lineOf('heat.h', '#if TOOL_COUNT > 1'));
    const inside = page.locator('.view-line', { hasText: 'TOOL_1_SENSOR_CURVE' });
    await inside.waitFor();
    await page.keyboard.press('Control+Shift+[');
    await inside.waitFor({ state: 'detached' });
    await page.keyboard.press('Control+Shift+]');
    await inside.waitFor();
  });
}
