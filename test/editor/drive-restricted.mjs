// A folder that nobody has vouched for: VS Code's Restricted Mode. Nothing of a workspace is executed, so Fettle works there too.
import assert from 'node:assert/strict';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { withEditor } from '../editor-host/launch.mjs';
import * as user from './page.mjs';
import { extensionRoot } from './prepare.mjs';

const settings = {
  'security.workspace.trust.enabled': true,
  'security.workspace.trust.startupPrompt': 'never',
  'problems.defaultViewMode': 'table',
  'workbench.panel.defaultLocation': 'right',
};
// The Problems view draws only the rows that fit.
const size = { width: 1700, height: 1300 };

export async function driveRestricted(report, { mainFile, findings, boardName }, workspace) {
  const vsix = join(extensionRoot, 'dist', 'fettle.vsix');
  if (!existsSync(vsix)) throw new Error(`${vsix} is missing. Package the extension first.`);
  const rules = findings.flatMap(({ rule, hint }) => (hint ? [] : [rule])).sort();
  const options = { workspace, vsix: [vsix], settings, size, isTrustAsked: true };
  await withEditor('oldest', options, async ({ page, screenshot }) => {
    await report.test('an untrusted folder is opened in Restricted Mode', () =>
      page.locator('.statusbar-item', { hasText: 'Restricted Mode' }).waitFor({ timeout: 60_000 }),
    );
    await report.test(
      'in Restricted Mode the planted findings are there, and the board is named',
      async () => {
        await user.openFile(page, mainFile);
        await user.showProblems(page);
        const rows = await user.untilProblems(page, (each) => each.length === rules.length, rules.join(', '));
        for (const rule of rules)
          assert.ok(
            rows.some((row) => row.includes(rule)),
            `no ${rule}:\n${rows.join('\n')}`,
          );
        const entry = page.locator('.statusbar-item[id$="fettle.status"]', { hasText: boardName });
        await entry.waitFor({ timeout: 30_000 });
      },
    );
    await screenshot('restricted');
  });
}
