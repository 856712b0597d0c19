// What the README's pictures show, each from a page that has the sample machine open.
import { useTheme } from './drive/themes.mjs';
import * as user from './page.mjs';

/** One finding under its value: message, causes, meaning, and the plot behind it. */
export async function pictureFinding(page) {
  await useTheme(page, 'Light Modern');
  await user.openFile(page, 'heat.h');
  await page.locator('.codelens-decoration:visible').first().waitFor();
  await user.goToLine(page, 17);
  await page.keyboard.press('End');
  await page.keyboard.press('ArrowLeft');
  for (let turn = 0; turn < 11; turn += 1) await page.keyboard.press('Control+ArrowDown');
  const open = () => user.chord(page, 'Control+K', 'Control+I');
  await open();
  const hover = page.locator('.monaco-hover:visible', { hasText: 'Tool 0 sensor pull-up' });
  await hover.waitFor();
  await open();
  await page.waitForFunction(() => document.activeElement?.closest('.monaco-hover') !== null);
  // Drawn out to what it tells first.
  const { x, y, width, height } = await hover.boundingBox();
  await page.mouse.move(x + width / 2, y + height - 40);
  await page.mouse.move(x + width / 2, y + height, { steps: 4 });
  await page.mouse.down();
  await page.mouse.move(x + width / 2, page.viewportSize().height - 45, { steps: 8 });
  await page.mouse.up();
  await page.waitForTimeout(500);
}

/** The board beside the header, with the connector of the cursor's line marked. */
export async function pictureBoard(page) {
  await useTheme(page, 'Dark Modern');
  await user.openFile(page, 'pins.h');
  await page.locator('.codelens-decoration:visible').first().waitFor();
  await user.goToLine(page, 20);
  await user.runCommand(page, 'Fettle: Show Board Picture');
  await (await user.webviewFrame(page, '.here')).locator('.here').waitFor();
  await page.waitForTimeout(1_000);
}

/** A pin chosen from a list that tells what each carries. */
export async function pictureCompletion(page) {
  await useTheme(page, 'Dark High Contrast');
  await user.runCommand(page, 'View: Close All Editors');
  await user.openFile(page, 'pins.h');
  await page.locator('.codelens-decoration:visible').first().waitFor();
  await user.goToLine(page, 28);
  for (let turn = 0; turn < 5; turn += 1) await page.keyboard.press('Control+ArrowDown');
  await page.keyboard.press('End');
  await page.keyboard.press('Enter');
  await page.keyboard.type('#define FAN_ELEC');
  await page
    .locator('.suggest-widget.visible .monaco-list-row.focused', { hasText: 'FAN_ELECTRONICS_PIN' })
    .waitFor();
  await page.keyboard.press('Enter');
  await page.locator('.suggest-widget.visible .monaco-list-row.focused', { hasText: 'PA1' }).waitFor();
  await page.waitForTimeout(1_000);
}
