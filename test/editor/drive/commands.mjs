// Each command of the extension as a person gives it: by its title in the command palette, then by keyboard and mouse.
import assert from 'node:assert/strict';
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import * as user from '../page.mjs';
import { scratch } from '../prepare.mjs';
import { holdFindings, rulesShown } from './project.mjs';

const patience = 30_000;

/** @param step runs one named test and takes its picture */
export async function driveCommands({ page, host, step, expectations }) {
  const { findings, projectFiles, boardName, machineName, mainFile, explanation } = expectations;
  const entry = page.locator('.statusbar-item[id$="fettle.status"]');

  await step('resting on the status entry names project, board and machine', async () => {
    await user.openFile(page, mainFile);
    await entry.hover({ timeout: patience });
    const tooltip = page.locator('.monaco-hover:visible', { hasText: 'Project:' });
    await tooltip.waitFor({ timeout: patience });
    const text = (await tooltip.textContent()) ?? '';
    for (const part of [projectFiles[0], boardName, machineName]) assert.ok(text.includes(part), text);
  });
  await step('the status entry lists the files of the project; one is opened', async () => {
    await entry.click();
    const rows = await user.offered(page);
    for (const file of projectFiles)
      assert.ok(
        rows.some((row) => row.includes(file)),
        `no ${file}: ${rows}`,
      );
    const board = projectFiles.find((file) => file.endsWith('.board.json'));
    await user.choose(page, board, board);
    await page.locator('.tab.active', { hasText: board }).waitFor({ timeout: patience });
  });
  await step('Show Project lists them too', async () => {
    await user.openFile(page, mainFile);
    await user.runCommand(page, 'Fettle: Show Project');
    await page
      .locator(`.quick-input-widget input[placeholder*="${boardName}"]`)
      .waitFor({ timeout: patience });
    assert.equal((await user.offered(page)).length, projectFiles.length + 1);
  });
  await step('Explain Rule shows the rule that is chosen', async () => {
    await user.runCommand(page, 'Fettle: Explain Rule');
    await page
      .locator('.quick-input-widget input[placeholder="Rule to explain"]')
      .waitFor({ timeout: patience });
    await user.choose(page, explanation.topic, explanation.topic);
    const text = await user.webviewText(page, explanation.topic);
    for (const part of explanation.contains) assert.ok(text.includes(part.replace('## ', '')), text);
  });
  await user.runCommand(page, 'View: Close All Editors');
  await step('Restart Server leaves findings and status entry as they were', async () => {
    await user.openFile(page, mainFile);
    await user.runCommand(page, 'Fettle: Restart Server');
    await page.waitForTimeout(1_000);
    await user.showProblems(page);
    await holdFindings(page, rulesShown(findings));
    await entry.filter({ hasText: boardName }).waitFor({ timeout: patience });
  });
  await step('Show Output shows the output', async () => {
    await user.runCommand(page, 'Fettle: Show Output');
    await page.locator('.output-view-container, .output-view').first().waitFor({ timeout: patience });
    await page
      .locator('.monaco-workbench .part.panel', { hasText: 'The server is ready' })
      .waitFor({ timeout: patience });
  });
  await step('Open Sample Machine copies it and opens the copy', async () => {
    const parent = join(scratch, 'copies');
    mkdirSync(parent);
    await user.runCommand(page, 'Fettle: Open Sample Machine');
    const input = page.locator('.quick-input-widget input.input');
    await page.locator('.quick-input-widget', { hasText: 'Copy Here' }).waitFor({ timeout: patience });
    const opened = page.context().waitForEvent('page', { timeout: patience });
    // The dialog puts the present folder in by itself, a little later, and looks up every path that is typed.
    await page.waitForFunction(() =>
      document.querySelector('.quick-input-widget input.input')?.value.endsWith('/'),
    );
    await page.waitForTimeout(1_000);
    await input.press('Control+A');
    await input.pressSequentially(`${parent}/`);
    await page.waitForTimeout(1_000);
    // The first Enter goes into the folder, the second one takes it.
    await input.press('Enter');
    await page.waitForTimeout(1_000);
    if (await input.isVisible()) await input.press('Enter');
    const other = await opened;
    await other.locator('.explorer-folders-view', { hasText: mainFile }).waitFor({ timeout: 90_000 });
    assert.deepEqual(readdirSync(join(parent, 'half-ported')).sort(), [...projectFiles].sort());
    await other.close();
  });

  const open = async (workspace) => {
    await page.goto(`${host.url}?folder=${encodeURIComponent(workspace)}`, { waitUntil: 'domcontentloaded' });
    await page.locator('.monaco-workbench').waitFor({ timeout: 90_000 });
    await page.locator('.explorer-folders-view').waitFor({ timeout: 90_000 });
  };
  await step('Set Up This Folder wakes Fettle in an empty folder and writes three files', async () => {
    const folder = join(scratch, 'Red Kite');
    mkdirSync(folder);
    await open(folder);
    await user.runCommand(page, 'Fettle: Set Up This Folder');
    const words = await user.notification(page, 'Fettle wrote');
    const written = ['fettle.json', 'red-kite.board.json', 'red-kite.machine.json'];
    assert.deepEqual(readdirSync(folder).sort(), written);
    for (const name of written) assert.ok(words.includes(name), words);
    await page.locator('.tab.active', { hasText: 'fettle.json' }).waitFor({ timeout: patience });
    await entry.filter({ hasText: basename(folder) }).waitFor({ timeout: patience });
    await user.openFile(page, 'red-kite.board.json');
    await page.locator('[aria-label="No Problems"]').first().waitFor({ timeout: patience });
  });
  await step('Set Up This Folder writes nothing where all is there', async () => {
    const file = join(scratch, 'Red Kite', 'fettle.json');
    const before = readFileSync(file, 'utf8');
    await user.runCommand(page, 'Fettle: Set Up This Folder');
    await user.notification(page, 'nothing was written');
    assert.equal(readFileSync(file, 'utf8'), before);
  });
  await step('slips in JSON are listed once', async () => {
    const folder = join(scratch, 'slips');
    assert.ok(!existsSync(folder));
    mkdirSync(folder);
    const board = '{ "name": "Slips", "crystal": "8 MHz", "crystal": "8 MHz" }\n';
    writeFileSync(join(folder, 'slips.board.json'), board);
    writeFileSync(join(folder, 'fettle.json'), '{\n  "settings": []\n  "board": "slips.board.json"\n}\n');
    await open(folder);
    await user.openFile(page, 'slips.board.json');
    await user.openFile(page, 'fettle.json');
    await user.showProblems(page);
    const wanted = (rows) =>
      rows.length === 3 &&
      rows.filter((row) => row.includes('Duplicate object key')).length === 2 &&
      rows.filter((row) => row.includes('Expected comma')).length === 1;
    await user.untilProblems(page, wanted, 'two marks of one doubled key and one missing comma');
    await page.waitForTimeout(2_000);
    const rows = await user.problemRows(page);
    assert.ok(wanted(rows), rows.join('\n'));
  });
}
