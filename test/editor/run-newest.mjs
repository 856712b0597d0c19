// Installs the packaged extension into a clean profile of the newest VS Code and uses it as a person would.
// node run-newest.mjs [FILE.vsix]
import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { withEditor } from '../editor-host/launch.mjs';
import { driveCommands } from './drive-commands.mjs';
import * as user from './page.mjs';
import { copySample, extensionRoot, loadExpectations, makeReport } from './prepare.mjs';

const vsix = resolve(process.argv[2] ?? join(extensionRoot, 'dist', 'fettle.vsix'));
// The Problems view draws only the rows that fit: a line for each problem, and the whole height of a tall page.
const settings = { 'problems.defaultViewMode': 'table', 'workbench.panel.defaultLocation': 'right' };
const size = { width: 1700, height: 1300 };

const report = makeReport('Packaged extension in VS Code 1.139');
try {
  if (!existsSync(vsix)) throw new Error(`${vsix} is missing. Package the extension first.`);
  const expectations = await loadExpectations();
  const workspace = copySample(expectations);
  await withEditor('newest', { workspace, vsix: [vsix], settings, size }, (tools) =>
    drive({ ...tools, expectations, workspace }),
  );
} catch (error) {
  report.fail('the page came up', error);
}
report.finish();

async function drive({ page, host, screenshot, expectations, workspace }) {
  const { mainFile, findings, hover, fix, boardName } = expectations;
  const text = (file) => readFileSync(join(workspace, file), 'utf8').split(/\r?\n/);
  const rules = findings
    .filter(({ hint }) => !hint)
    .map(({ rule }) => rule)
    .sort();
  const settled = [fix.finding, ...(fix.alsoSettles ?? [])].map(({ rule }) => rule);
  const shown = (rows) => rows.filter((row) => row.includes('fettle'));
  const shows = (wanted) => (rows) =>
    rows.length === wanted.length && wanted.every((rule) => count(rows, rule) === countEqual(wanted, rule));
  const holdsFindings = () => user.untilProblems(page, shows(rules), `exactly ${rules.join(', ')}`);
  const step = async (name, body) => {
    const passed = await report.test(name, body);
    await screenshot(
      passed ? name.replace(/[^a-z0-9]+/gi, '-') : `failed-${name.replace(/[^a-z0-9]+/gi, '-')}`,
    );
    await page.keyboard.press('Escape');
  };

  await step('quick open shows the main file', () => user.openFile(page, mainFile));
  await step('Problems lists the planted findings', async () => {
    await user.showProblems(page);
    const rows = await holdsFindings();
    assert.equal(shown(rows).length, rules.length, `not all from fettle:\n${rows.join('\n')}`);
  });
  await step('the status bar names the board', () =>
    page.locator('.statusbar-item[id$="fettle.status"]', { hasText: boardName }).waitFor({ timeout: 30_000 }),
  );
  await step('hover explains a setting', async () => {
    if (hover.file !== mainFile) await user.openFile(page, hover.file);
    const line = text(hover.file).findIndex((each) => new RegExp(`\\b${hover.name}\\b`).test(each)) + 1;
    await user.goToLine(page, line);
    const shownText = await user.hoverOver(page, hover.name, hover.contains[0]);
    for (const part of hover.contains) assert.ok(shownText.includes(part), `no "${part}" in:\n${shownText}`);
    const { alt, width, height, drawn, room } = await user.hoverPicture(page, hover.contains[0]);
    assert.ok(alt.startsWith(hover.plot), `the picture says: ${alt}`);
    assert.ok(drawn > 0 && width === drawn, `drawn ${drawn} px wide, shown ${width}`);
    assert.ok(
      width <= room.width && height <= room.height,
      `${width} × ${height} in ${JSON.stringify(room)}`,
    );
  });
  await step('a quick fix by keyboard settles its finding', async () => {
    await user.openFile(page, fix.finding.file);
    await user.goToLine(
      page,
      text(fix.finding.file).findIndex((each) => each.trim() === fix.finding.line) + 1,
    );
    await user.applyQuickFix(page, fix.title);
    const left = without(rules, settled);
    await user.untilProblems(page, shows(left), left.length ? `exactly ${left.join(', ')}` : 'no findings');
  });
  await step('undo brings the finding back', async () => {
    await page.locator('.editor-instance .view-lines').first().click();
    await page.keyboard.press('Control+Z');
    await holdsFindings();
  });
  await driveCommands({ page, host, step, expectations, holdsFindings });
}

function count(rows, rule) {
  return rows.filter((row) => row.includes(rule)).length;
}

function countEqual(list, value) {
  return list.filter((each) => each === value).length;
}

function without(list, others) {
  const left = [...others];
  return list.filter((each) => {
    const index = left.indexOf(each);
    if (index >= 0) left.splice(index, 1);
    return index < 0;
  });
}
