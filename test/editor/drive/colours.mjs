// Colours that come from meaning: settings as names, what is not compiled as a comment.
import * as user from '../page.mjs';

export async function driveColours({ page, step, lineOf }) {
  await step('settings have the colour of names, lines that are not compiled that of comments', async () => {
    await user.openFile(page, 'heat.h');
    await user.goToLine(page, lineOf('heat.h', '#if TOOL_COUNT > 1'));
    await page.waitForFunction(isColoured, undefined, { timeout: 30_000 });
  });
}

function isColoured() {
  const spans = [...document.querySelectorAll('.view-line span > span')];
  const colourOf = (text) => {
    const span = spans.find((each) => each.textContent.replaceAll('\u00a0', ' ').trim() === text);
    return span && getComputedStyle(span).color;
  };
  const [setting, unused, comment] = ['TOOL_0_SENSOR_CURVE', 'TOOL_1_SENSOR_CURVE', '// Bed'].map(colourOf);
  return comment !== undefined && unused === comment && setting !== undefined && setting !== comment;
}
