// The hover by keyboard, and scrolled by keyboard.
import assert from 'node:assert/strict';
import * as user from '../page.mjs';

export async function driveHovering({ page, step, lineOf }) {
  await step(
    'the hover opens by keyboard, tells finding, meaning and figures, and takes the focus',
    async () => {
      await user.openFile(page, 'heat.h');
      await user.goToLine(page, lineOf('heat.h', '#define TOOL_0_SENSOR_PULL_UP_OHM 4700'));
      await page.keyboard.press('End');
      await page.keyboard.press('ArrowLeft');
      await user.chord(page, 'Control+K', 'Control+I');
      const hover = page.locator('.monaco-hover:visible', { hasText: 'Tool 0 sensor pull-up' });
      await hover.waitFor();
      const text = await hover.textContent();
      for (const part of ['At a displayed 215 °C the block is at 266 °C', 'tool.0.sensor.pullUp', '4700 Ω'])
        assert.ok(text.includes(part), text);
      // The same keys again move the focus into it: arrow keys scroll, a screen reader reads.
      await user.chord(page, 'Control+K', 'Control+I');
      await page.waitForFunction(() => document.activeElement?.closest('.monaco-hover') !== null);
    },
  );
}
