// A name that no map knows is taught by keyboard: the map is written, and the name has its meaning from then on.
import * as user from '../page.mjs';

const taught = '#define plateTopTarget 110 // °C';

export async function driveTeaching({ page, step, picture, lineOf, restore }) {
  await user.openFile(page, 'heat.h');
  await user.goToLine(page, lineOf('heat.h', '#define TOOL_0_SENSOR_PULL_UP_OHM'));
  await step('the light bulb offers what an unknown name may mean, the likeliest first', async () => {
    await page.keyboard.press('End');
    await page.keyboard.press('Enter');
    await page.keyboard.type(taught);
    await page.keyboard.press('Escape');
    await page.keyboard.press('Home');
    for (let step = 0; step < 10; step++) await page.keyboard.press('ArrowRight');
    await offers(page);
    await picture('teaching');
  });
  await step('the meaning that is taken is written into a name map', async () => {
    await user.applyQuickFix(page, 'Teach Fettle this name: bed.maxTemperature (°C)');
    await user.runCommand(page, 'File: Save All Files');
    await page.locator('.explorer-folders-view .monaco-list-row', { hasText: '.names.json' }).click();
    await user.shownLine(page, /"plateTopTarget": .*bed\.maxTemperature/);
  });
  await step('and the name has that meaning', async () => {
    await user.openFile(page, 'heat.h');
    await user.goToLine(page, lineOf('heat.h', taught));
    await user.hoverOver(page, 'plateTopTarget', 'bed.maxTemperature');
  });
  restore();
}

/** The menu, opened again until the server has looked at what was typed. */
async function offers(page) {
  const first = page.locator('.action-widget .monaco-list-row.action', {
    hasText: 'Teach Fettle this name: bed.maxTemperature (°C)',
  });
  await user.pressUntil(page, 'Control+.', first.first());
}
