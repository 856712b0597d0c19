// What a person looks at most, in each of VS Code's kinds of themes, for the eye (pictures) and for a rule (contrast, axe-core).
import assert from 'node:assert/strict';
import * as user from '../page.mjs';
import { seriousIn, weakIn } from './contrast.mjs';

/** Name in VS Code's list → class that the window has then. */
const themes = {
  'Light Modern': 'vs',
  'Dark High Contrast': 'hc-black',
  'Light High Contrast': 'hc-light',
  'Dark Modern': 'vs-dark',
};

/** Another theme, as a person chooses it: by keyboard, from the list. */
export async function useTheme(page, name) {
  await user.chord(page, 'Control+K', 'Control+T');
  await user.choose(page, name, name);
  await page.locator(`.monaco-workbench.${themes[name]}`).waitFor();
}

export async function driveThemes({ page, host, step, picture, lineOf }) {
  const line = lineOf('heat.h', '#define TOOL_0_SENSOR_PULL_UP_OHM 4700');
  await user.openFile(page, 'heat.h');
  await user.goToLine(page, line);
  // Room for both: without the Problems view.
  if (await page.locator('.markers-panel-container').isVisible()) await page.keyboard.press('Control+J');
  await user.runCommand(page, 'Fettle: Show Board Picture');
  // Everything before was driven in Dark Modern; one more pair is enough where the time is spent twice.
  const names = Object.keys(themes).slice(0, host.name === 'oldest' ? 2 : undefined);
  for (const name of names) {
    await step(`${name}: findings, hover, completion and board can be read`, async () => {
      await useTheme(page, name);
      await user.goToLine(page, line);
      await page.keyboard.press('End');
      await page.keyboard.press('ArrowLeft');
      await picture(`${name}-text`);
      await user.chord(page, 'Control+K', 'Control+I');
      await page.locator('.monaco-hover:visible', { hasText: 'Tool 0 sensor pull-up' }).waitFor();
      await picture(`${name}-hover`);
      await user.chord(page, 'Control+K', 'Control+I');
      await page.waitForFunction(() => document.activeElement?.closest('.monaco-hover') !== null);
      await page.keyboard.press('End');
      await picture(`${name}-plot`);
      await page.keyboard.press('Escape');
      await page.keyboard.press('End');
      await page.keyboard.press('Enter');
      await page.keyboard.type('#define FAN_ELEC');
      await page.locator('.suggest-widget.visible .monaco-list-row.focused').waitFor();
      await picture(`${name}-completion`);
      await page.keyboard.press('Escape');
      await user.undoAll(page, 'heat.h');
      const view = await user.webviewFrame(page, '[data-socket]');
      await user.focusInWebview(page, view, '[data-socket]');
      await picture(`${name}-board`);
      assert.deepEqual(await weakIn(view), []);
      assert.deepEqual(await seriousIn(view), []);
      await page.keyboard.press('Control+1');
    });
  }
  await user.runCommand(page, 'View: Close All Editors');
}
