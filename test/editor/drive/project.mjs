// The project as a whole: every planted finding and no other, in the Problems view and after a quick fix and its undoing.
import assert from 'node:assert/strict';
import * as user from '../page.mjs';

export async function driveProject({ page, step, expectations, lineOf }) {
  const { mainFile, findings, hover, fix, boardName } = expectations;
  const rules = rulesShown(findings);
  const settled = [fix.finding, ...(fix.alsoSettles ?? [])].map(({ rule }) => rule);

  await step('quick open shows the main file', () => user.openFile(page, mainFile));
  await step('Problems lists the planted findings', async () => {
    await user.showProblems(page);
    const rows = await holdFindings(page, rules);
    const own = rows.filter((row) => row.includes('fettle'));
    assert.equal(own.length, rules.length, `not all from fettle:\n${rows.join('\n')}`);
  });
  await step('the status bar names the board', () =>
    page.locator('.statusbar-item[id$="fettle.status"]', { hasText: boardName }).waitFor(),
  );
  await step('hover explains a setting', async () => {
    if (hover.file !== mainFile) await user.openFile(page, hover.file);
    await user.goToLine(page, lineOf(hover.file, ` ${hover.name} `));
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
    await user.goToLine(page, lineOf(fix.finding.file, fix.finding.line));
    await user.applyQuickFix(page, fix.title);
    await holdFindings(page, without(rules, settled));
  });
  await step('undo brings the finding back', async () => {
    await page.locator('.editor-instance .view-lines').first().click();
    await page.keyboard.press('Control+Z');
    await holdFindings(page, rules);
  });
}

/** Rules of the findings that the Problems view lists. */
export const rulesShown = (findings) =>
  findings
    .filter(({ hint }) => !hint)
    .map(({ rule }) => rule)
    .sort();

/** Waits until the Problems view has one row for each of the rules and no other. */
export function holdFindings(page, rules) {
  const holds = (rows) =>
    rows.length === rules.length &&
    rules.every((rule) => rows.filter((row) => row.includes(rule)).length === countOf(rules, rule));
  return user.untilProblems(page, holds, rules.length ? `exactly ${rules.join(', ')}` : 'no findings');
}

const countOf = (list, value) => list.filter((each) => each === value).length;

function without(list, others) {
  const left = [...others];
  return list.filter((each) => {
    const index = left.indexOf(each);
    if (index >= 0) left.splice(index, 1);
    return index < 0;
  });
}
