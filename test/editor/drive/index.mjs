// Drives the packaged extension in a clean profile as a person would: by keyboard and mouse, judged by what the page shows.
import { existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { withEditor } from '../../editor-host/launch.mjs';
import { copySample, extensionRoot, loadExpectations } from '../prepare.mjs';
import { driveBoard } from './board.mjs';
import { driveColours } from './colours.mjs';
import { driveCommands } from './commands.mjs';
import { driveComparing } from './comparing.mjs';
import { driveCompleting } from './completing.mjs';
import { driveFindings } from './findings.mjs';
import { driveFixing } from './fixing.mjs';
import { driveHints } from './hints.mjs';
import { driveHovering } from './hovering.mjs';
import { driveNavigating } from './navigating.mjs';
import { driveOutline } from './outline.mjs';
import { driveProject } from './project.mjs';
import { driveTeaching } from './teaching.mjs';
import { driveThemes } from './themes.mjs';
import { driveWorkbench } from './workbench.mjs';

export const packaged = join(extensionRoot, 'dist', 'fettle.vsix');

/** One page session for all features, so that they add up to little time. Those that open other folders come last. */
const features = [
  driveProject,
  driveFindings,
  driveHovering,
  driveFixing,
  driveCompleting,
  driveHints,
  driveOutline,
  driveColours,
  driveNavigating,
  driveBoard,
  driveThemes,
  driveComparing,
  driveTeaching,
  driveWorkbench,
];

// The Problems view draws only the rows that fit: a line for each problem, and the whole height of a tall page.
const settings = { 'problems.defaultViewMode': 'table', 'workbench.panel.defaultLocation': 'right' };
const size = { width: 1700, height: 1300 };

/**
 * @param report takes the outcomes
 * @param {'oldest' | 'newest'} name which VS Code
 * @param options `vsix`: the package; `commands`: whether to try those that open other folders too
 */
export async function drivePackaged(report, name, { vsix = packaged, commands = false } = {}) {
  if (!existsSync(vsix)) throw new Error(`${vsix} is missing. Package the extension first.`);
  const expectations = await loadExpectations();
  const workspace = copySample(expectations);
  await withEditor(name, { workspace, vsix: [vsix], settings, size }, async ({ page, host, screenshot }) => {
    page.setDefaultTimeout(30_000);
    const step = async (title, body) => {
      const passed = await report.test(title, body);
      await screenshot(`${passed ? '' : 'failed-'}${title.replace(/[^a-z0-9]+/gi, '-')}`);
      await page.keyboard.press('Escape');
    };
    const text = (file) => readFileSync(join(workspace, file), 'utf8').split(/\r?\n/);
    /** Line of the saved file that has `part`, from 1. */
    const lineOf = (file, part) => {
      const index = text(file).findIndex((line) => line.includes(part));
      if (index < 0) throw new Error(`${file} has no line with ${part}`);
      return index + 1;
    };
    /** The files as they were on disk; editors without changes follow. */
    const restore = () => {
      for (const file of readdirSync(workspace)) rmSync(join(workspace, file), { recursive: true });
      copySample(expectations);
    };
    const tools = { page, host, step, picture: screenshot, expectations, lineOf, restore };
    // The folder dialog of 1.100 cannot be driven like this; the suite inside that version compares a folder and a revision.
    const driven = features.filter((drive) => drive !== driveComparing || name === 'newest');
    for (const drive of driven) await guarded(report, drive, tools);
    if (commands) await guarded(report, driveCommands, tools);
  });
}

/** What breaks between two steps fails by itself, and leaves the features behind it their turn. */
async function guarded(report, drive, tools) {
  try {
    await drive(tools);
  } catch (error) {
    report.fail(drive.name, error);
  }
}
