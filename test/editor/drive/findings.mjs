// A finding where a person meets it: under the value, in the Problems view, on the way from one to the next.
import assert from 'node:assert/strict';
import * as user from '../page.mjs';

const finding = { file: 'heat.h', line: '#define TOOL_0_SENSOR_PULL_UP_OHM 4700', value: '4700' };
const rule = 'sensing/pullup-mismatch';
const message = "The firmware thinks the pull-up of the tool's sensor is 4.7 kΩ";

export async function driveFindings({ page, step, lineOf }) {
  await user.openFile(page, finding.file);
  await step('a wavy line is under the value that is wrong', async () => {
    await user.goToLine(page, lineOf(finding.file, finding.line));
    await page.waitForFunction(isMarked, [finding.line, finding.value], { timeout: 30_000 });
  });
  await step('F8 leads to it and shows its causes in the other files', async () => {
    await page.keyboard.press('F8');
    const widget = page.locator('.marker-widget', { hasText: message });
    await widget.waitFor();
    const text = await widget.textContent();
    for (const cause of ['fjell32.board.json', 'wren.machine.json']) assert.ok(text.includes(cause), text);
  });
  await step("a finding's rule in the Problems view opens its explanation", async () => {
    await user.showProblems(page);
    const row = page.locator('.markers-panel-container .monaco-list-row', { hasText: message });
    await row.locator('a', { hasText: rule }).click();
    await page.locator('.tab.active', { hasText: 'pullup-mismatch' }).waitFor();
    await user.webviewText(page, 'the firmware computes');
  });
}

/** Whether a wavy line lies under `value` in the line with that text. */
function isMarked([line, value]) {
  const plain = (element) => element.textContent.replaceAll('\u00a0', ' ');
  const shown = [...document.querySelectorAll('.view-line')].find((each) => plain(each).startsWith(line));
  const word = [...(shown?.querySelectorAll('span > span') ?? [])].find((each) => plain(each) === value);
  if (!word) return false;
  const place = word.getBoundingClientRect();
  return [...document.querySelectorAll('.squiggly-error')].some((mark) => {
    const { left, right, top, bottom } = mark.getBoundingClientRect();
    return left < place.right && place.left < right && top < place.bottom && place.top < bottom;
  });
}
