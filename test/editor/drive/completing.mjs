// Completion while typing: names with what they mean, pins with what they carry.
import assert from 'node:assert/strict';
import * as user from '../page.mjs';

export async function driveCompleting({ page, step, picture, lineOf }) {
  const rows = page.locator('.suggest-widget.visible .monaco-list-row');
  const details = page.locator('.suggest-details');
  const offered = async (label) => {
    const row = rows.filter({ hasText: label }).first();
    await row.waitFor();
    return row;
  };
  await user.openFile(page, 'pins.h');
  await user.goToLine(page, lineOf('pins.h', '#define FAN_TOOL_0_PIN PB0'));
  await step('a name that is begun is completed, with what it means beside it', async () => {
    await page.keyboard.press('End');
    await page.keyboard.press('Enter');
    await page.keyboard.type('#define FAN_ELEC');
    await offered('FAN_ELECTRONICS_PIN');
    if (!(await details.isVisible())) await page.keyboard.press('Control+Space');
    await details.filter({ hasText: 'fan.electronics.pin' }).waitFor();
    await picture('completion-name');
    await page.keyboard.press('Enter');
    await page.locator('.view-line', { hasText: /FAN_ELECTRONICS_PIN/ }).waitFor();
    // Its pins, at once.
    await offered('PA1');
  });
  await step('its pins are offered, the free output first, each with what it carries', async () => {
    await page.keyboard.press('Control+Space');
    await offered('PA1');
    const [first] = await rows.allTextContents();
    assert.match(first, /^PA1/);
    // Every row tells it, not the chosen one alone.
    await page
      .locator('.suggest-widget.visible .monaco-list-row:not(.focused) .details-label:visible', {
        hasText: 'carries the host link',
      })
      .first()
      .waitFor();
    await details.filter({ hasText: 'output F2, free' }).waitFor();
    await picture('completion-pin');
    await page.keyboard.press('Enter');
    await page.locator('.view-line', { hasText: /FAN_ELECTRONICS_PIN.PA1/ }).waitFor();
  });
  await user.undoAll(page, 'pins.h');
}
