// What VS Code shows of the extension itself: its settings, its commands, its first steps.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as user from '../page.mjs';
import { extensionRoot } from '../prepare.mjs';

const { contributes } = JSON.parse(readFileSync(join(extensionRoot, 'package.json'), 'utf8'));

export async function driveWorkbench({ page, step }) {
  await step('the palette lists every command in one category', async () => {
    await page.keyboard.press('F1');
    await page.locator('.quick-input-widget input.input').fill('>Fettle: ');
    // One that cannot be given yet is not listed.
    const wanted = contributes.commands
      .filter(({ enablement }) => enablement === undefined)
      .map(({ category, title }) => `${category}: ${title}`);
    const rows = await user.untilOffered(page, (rows) =>
      wanted.every((title) => rows.some((row) => row.includes(title))),
    );
    assert.equal(rows.filter((row) => row.includes('Fettle:')).length, wanted.length, rows.join('\n'));
    await page.keyboard.press('Escape');
  });
  await step('the settings editor shows every setting with its description', async () => {
    await page.keyboard.press('Control+,');
    const search = page.locator('.settings-editor .suggest-input-container');
    await search.waitFor();
    await page.keyboard.type('@ext:fettle.fettle');
    for (const { markdownDescription } of Object.values(contributes.configuration.properties)) {
      const start = markdownDescription.split('.')[0].replaceAll('`', '');
      await page.locator('.settings-editor .setting-item-contents', { hasText: start }).waitFor();
    }
  });
  await user.runCommand(page, 'View: Close All Editors');
  await step('the first steps open with all of their texts', async () => {
    const [{ title, steps }] = contributes.walkthroughs;
    await user.runCommand(page, 'Welcome: Open Walkthrough...');
    await user.choose(page, title, title);
    const shown = page.locator('.gettingStartedDetailsContent');
    for (const { title } of steps) {
      await shown.locator('.getting-started-step', { hasText: title }).click();
      await shown.locator('.getting-started-step.expanded', { hasText: title }).waitFor();
    }
  });
  await user.runCommand(page, 'View: Close All Editors');
}
