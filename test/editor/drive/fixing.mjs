// Remedies by keyboard: the menu, all safe ones at once, an allowance.
import assert from 'node:assert/strict';
import * as user from '../page.mjs';

const line = '#define TOOL_0_SENSOR_PULL_UP_OHM 4700';

export async function driveFixing({ page, step, lineOf }) {
  await user.openFile(page, 'heat.h');
  const open = async () => {
    await user.goToLine(page, lineOf('heat.h', line));
    await page.keyboard.press('End');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('Control+.');
    const rows = page.locator('.action-widget .monaco-list-row.action');
    await rows.filter({ hasText: 'Allow' }).first().waitFor();
    return rows.allTextContents();
  };
  await step('the menu offers the remedy first, then the allowance', async () => {
    const [first, second] = await open();
    assert.equal(first, 'Set TOOL_0_SENSOR_PULL_UP_OHM to 2200');
    assert.match(second, /^Allow sensing\/pullup-mismatch here, with a reason$/);
  });
  await step(
    'an allowance is written over the line, its reason ready to be typed over, and settles the finding',
    async () => {
      await user.goToLine(page, lineOf('heat.h', line));
      await user.applyQuickFix(page, 'Allow sensing/pullup-mismatch here');
      await user.shownLine(page, 'fettle: allow sensing/pullup-mismatch because');
      await page.keyboard.type('a test');
      await user.shownLine(page, 'because a test');
      await page.locator('.tab.active', { hasText: 'heat.h' }).waitFor();
      await user.undoAll(page, 'heat.h');
    },
  );
  await step('Fix All applies every safe remedy of the file, and only those', async () => {
    await user.openFile(page, 'motion.h');
    await user.goToLine(page, lineOf('motion.h', '#define ENDSTOP_X_LOW_PULL UP'));
    await user.runCommand(page, 'Fix All');
    for (const end of ['X', 'Y', 'Z']) await user.shownLine(page, `#define ENDSTOP_${end}_LOW_PULL NONE`);
    await user.shownLine(page, '#define ENDSTOP_Y_LOW_ACTIVE_LEVEL LOW');
    await user.undoAll(page, 'motion.h');
  });
}
