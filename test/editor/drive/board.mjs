// The board's picture beside the text: follows the cursor, leads to lines, by mouse and by keyboard.
import assert from 'node:assert/strict';
import * as user from '../page.mjs';

const board = 'fjell32.board.json';

export async function driveBoard({ page, step, lineOf }) {
  const frame = () => user.webviewFrame(page, '[data-socket]');
  const socket = async (id) => (await frame()).locator(`[data-socket="${id}"]`);
  await user.runCommand(page, 'View: Close All Editors');
  await user.openFile(page, 'pins.h');
  await step('the picture of the board opens beside the text', async () => {
    await user.goToLine(page, lineOf('pins.h', '#define ENDSTOP_X_LOW_PIN PB5'));
    await user.runCommand(page, 'Fettle: Show Board Picture');
    const view = await frame();
    assert.equal(await view.locator('[data-socket]').count(), 19);
    await page.locator('.tab.active', { hasText: 'pins.h' }).waitFor();
  });
  await step("it marks the connector of the cursor's line, and follows it", async () => {
    const view = await frame();
    await view.locator('[data-socket="S1"][aria-current="true"].here').waitFor();
    await view.locator('#words', { hasText: 'ENDSTOP_X_LOW_PIN PB5' }).waitFor();
    await user.goToLine(page, lineOf('pins.h', '#define TOOL_0_SENSOR_PIN PC4'));
    await view.locator('[data-socket="T0"].here').waitFor();
    assert.equal(await view.locator('.here').count(), 1);
  });
  await step('a click on a connector leads to its line', async () => {
    await (await socket('S2')).click();
    await page.locator('.tab.active', { hasText: board }).waitFor();
    await user.untilOnLine(page, lineOf(board, '"S2": {'));
  });
  await step('a picture that is drawn anew leaves the keyboard to the text', async () => {
    await user.goToLine(page, lineOf(board, '"name": "Fjell 32"'));
    for (const key of ['End', 'ArrowLeft', 'ArrowLeft']) await page.keyboard.press(key);
    await page.keyboard.type(' of the Quay');
    await (await frame()).locator('#board', { hasText: 'Quay' }).waitFor();
    assert.notEqual(await page.evaluate(() => document.activeElement?.tagName), 'IFRAME');
    await user.undoAll(page, board);
  });
  await step('Tab, arrow keys and Enter do the same', async () => {
    const view = await frame();
    await user.focusInWebview(page, view, '[data-socket]');
    const focused = () => view.evaluate(() => document.activeElement?.dataset.socket);
    await page.keyboard.press('Home');
    assert.equal(await focused(), 'USB');
    await page.keyboard.press('ArrowDown');
    assert.equal(await focused(), 'AUX');
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowRight');
    assert.match(await focused(), /^H0/);
    await view.locator('#words', { hasText: 'tool heater' }).waitFor();
    await page.keyboard.press('Enter');
    await user.untilOnLine(page, lineOf(board, '"H0": {'));
  });
}
