// Ways between the files.
import * as user from '../page.mjs';

const board = 'fjell32.board.json';
const sheet = 'wren.machine.json';

export async function driveNavigating({ page, step, lineOf }) {
  await step('F12 on a pin leads to what is meant by it', async () => {
    await user.openFile(page, 'pins.h');
    await user.goToLine(page, lineOf('pins.h', '#define FAN_PART_PIN PB1'));
    await page.keyboard.press('End');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('F12');
    await page.locator('.tab.active', { hasText: board }).waitFor();
    await user.untilOnLine(page, lineOf(board, '"OUT-F1"'));
  });
  await step('Shift+F12 shows every place that uses a pin, in settings and board', async () => {
    await user.openFile(page, 'pins.h');
    await user.goToLine(page, lineOf('pins.h', '#define PROBE_PIN PB8'));
    await page.keyboard.press('End');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('Shift+F12');
    const tree = page.locator('.peekview-widget .ref-tree');
    for (const part of ['PROBE_PIN', 'CARD_DETECT_PIN', board])
      await tree.locator('.monaco-list-row', { hasText: part }).first().waitFor();
  });
  await step('the search for symbols finds a part in settings, board and sheet', async () => {
    await page.keyboard.press('Control+T');
    const input = page.locator('.quick-input-widget input.input');
    await input.waitFor();
    await input.fill('#part fan');
    await user.untilOffered(page, (rows) =>
      ['pins.h', board, sheet].every((file) => rows.some((row) => row.includes(file))),
    );
    await page.keyboard.press('Escape');
  });
  await step('F2 renames an output in both files, and back', async () => {
    const rename = async (from, to) => {
      await user.openFile(page, sheet);
      await user.goToLine(page, lineOf(sheet, '"part fan"'));
      await user.caretAt(page, `"${from}"`);
      await page.keyboard.press('F2');
      const input = page.locator('.rename-box input').first();
      await input.waitFor();
      await input.fill(to);
      await page.keyboard.press('Enter');
      await user.shownLine(page, `"output": "${to}"`);
      await user.openFile(page, board);
      await user.shownLine(page, `"${to}": { "pin": "PB0"`);
    };
    await rename('OUT-F0', 'BLOWER');
    await rename('BLOWER', 'OUT-F0');
  });
}
