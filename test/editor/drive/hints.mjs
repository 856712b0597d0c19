// What stands behind values and over parts, and the way from a line over a part to its findings.
import * as user from '../page.mjs';

export async function driveHints({ page, step, lineOf }) {
  await user.openFile(page, 'motion.h');
  await user.goToLine(page, lineOf('motion.h', '// X'));
  await step('behind a value stands what it comes to', () =>
    user.shownLine(page, /^#define AXIS_X_MAX_SPEED_MM_PER_S 180.?14\.4 kHz, 16 % of the board's steps/),
  );
  await step('over a part stand its figures and findings', () =>
    page
      .locator('.codelens-decoration', { hasText: 'Axis X: 80 steps/mm, 14.4 kHz at full speed, 2 findings' })
      .waitFor(),
  );
}
