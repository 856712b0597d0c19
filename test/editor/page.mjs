// What a person does in the workbench with keyboard and mouse, waiting for what he would see.

const patience = 30_000;

/** Quick open: Ctrl+P, the name, Enter. */
export async function openFile(page, file) {
  await page.keyboard.press('Control+P');
  await pick(page, file, file);
  await page.locator('.tab.active', { hasText: file }).waitFor({ timeout: patience });
  await page.locator('.editor-instance .view-lines .view-line').first().waitFor({ timeout: patience });
}

async function pick(page, typed, offered) {
  const input = page.locator('.quick-input-widget input.input');
  await input.waitFor({ timeout: patience });
  await input.fill(typed);
  await page
    .locator('.quick-input-list .monaco-list-row.focused', { hasText: offered })
    .first()
    .waitFor({ timeout: patience });
  await page.keyboard.press('Enter');
}

/** A command by its title: F1, the title, Enter. The palette lists what is known when it opens: until then it is opened again. */
export async function runCommand(page, title) {
  const row = page.locator('.quick-input-list .monaco-list-row.focused', { hasText: title }).first();
  const input = page.locator('.quick-input-widget input.input');
  const deadline = Date.now() + 2 * patience;
  for (;;) {
    await page.keyboard.press('F1');
    await input.waitFor({ timeout: patience });
    await input.fill(`>${title}`);
    const found = await row.waitFor({ timeout: 3_000 }).then(
      () => true,
      () => false,
    );
    if (found) break;
    if (Date.now() > deadline) throw new Error(`The command palette does not offer "${title}"`);
    await page.keyboard.press('Escape');
  }
  await page.keyboard.press('Enter');
}

/** Two keys one after the other, as most of VS Code's commands have them. */
export async function chord(page, first, second) {
  await page.keyboard.press(first);
  await page.keyboard.press(second);
}

/** Undoes until nothing is left to undo: the file is as it was saved. */
export async function undoAll(page, file) {
  const changed = page.locator('.tab.active.dirty', { hasText: file });
  const deadline = Date.now() + patience;
  while (await changed.count()) {
    if (Date.now() > deadline) throw new Error(`${file} is not as it was`);
    await page.keyboard.press('Control+Z');
    await page.waitForTimeout(100);
  }
}

/** Waits for a line of an editor that begins with `text` (or matches it), and returns it. Blanks count as blanks, whichever kind they are. */
export function shownLine(page, text) {
  const pattern = text instanceof RegExp ? text.source : text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&');
  const line = page.locator('.view-line', { hasText: new RegExp(pattern.replaceAll(' ', '[ \u00a0]')) });
  return line.first().waitFor({ timeout: patience });
}

/** Waits until the status bar tells that the cursor is on that line. */
export function untilOnLine(page, line) {
  return page
    .locator('[id="status.editor.selection"]', { hasText: `Ln ${line},` })
    .waitFor({ timeout: patience });
}

/** Sets the cursor into a word that the editor shows, by mouse. */
export async function caretAt(page, word) {
  await page.locator('.editor-instance .view-line span > span', { hasText: word }).first().click();
}

/** Presses a key until `sign` shows that it was taken: the editor forgets keys that come before it knows its commands. */
export async function pressUntil(page, key, sign) {
  const deadline = Date.now() + 2 * patience;
  while (Date.now() < deadline) {
    await page.keyboard.press(key);
    const isTaken = await sign.waitFor({ timeout: 5_000 }).then(
      () => true,
      () => false,
    );
    if (isTaken) return;
  }
  throw new Error(`Nothing came of pressing ${key}`);
}

/** What a quick pick that is open offers. */
export async function offered(page) {
  const rows = page.locator('.quick-input-list .monaco-list-row');
  await rows.first().waitFor({ timeout: patience });
  return rows.allTextContents();
}

/** Waits until what a quick pick offers makes `holds` true. */
export async function untilOffered(page, holds) {
  const deadline = Date.now() + patience;
  for (;;) {
    const rows = await offered(page);
    if (holds(rows)) return rows;
    if (Date.now() > deadline) throw new Error(`The list has:\n${rows.join('\n')}`);
    await page.waitForTimeout(100);
  }
}

/** Chooses by typing in a quick pick that is open. */
export async function choose(page, typed, offered) {
  await pick(page, typed, offered);
}

/** Text of the first web view that has `wanted` in it. VS Code puts the content into a frame of a frame. */
export async function webviewText(page, wanted) {
  const deadline = Date.now() + patience;
  for (;;) {
    for (const frame of page.frames()) {
      const text = await frame
        .locator('body')
        .textContent({ timeout: 1_000 })
        .catch(() => '');
      if (frame !== page.mainFrame() && text.includes(wanted)) return text;
    }
    if (Date.now() > deadline) throw new Error(`No web view has "${wanted}"`);
    await page.waitForTimeout(200);
  }
}

/** The frame of the first web view with an element that matches. */
export async function webviewFrame(page, selector) {
  const deadline = Date.now() + patience;
  for (;;) {
    for (const frame of page.frames()) {
      if (frame === page.mainFrame()) continue;
      if (
        await frame
          .locator(selector)
          .count()
          .catch(() => 0)
      )
        return frame;
    }
    if (Date.now() > deadline) throw new Error(`No web view has ${selector}`);
    await page.waitForTimeout(100);
  }
}

/** Brings the keyboard into a web view that is the second group of editors, and on to its first element that matches. */
export async function focusInWebview(page, frame, selector) {
  await page.keyboard.press('Control+2');
  await frame.waitForFunction(() => document.hasFocus(), undefined, { timeout: patience });
  await pressUntil(page, 'Tab', frame.locator(`${selector}:focus-visible`));
}

/** Waits for a notification with `text` and returns all of its words. */
export async function notification(page, text) {
  const toast = page
    .locator('.notification-toast .notification-list-item-message', { hasText: text })
    .first();
  await toast.waitFor({ timeout: patience });
  return (await toast.textContent()) ?? '';
}

/** Go to line: Ctrl+G. Lines count from 1. */
export async function goToLine(page, line) {
  await page.locator('.editor-instance .view-lines').first().click();
  await page.keyboard.press('Control+G');
  const input = page.locator('.quick-input-widget input.input');
  await input.waitFor({ timeout: patience });
  await input.fill(`:${line}`);
  await page.keyboard.press('Enter');
  await page
    .locator('[id="status.editor.selection"]', { hasText: `Ln ${line},` })
    .waitFor({ timeout: patience });
}

/** The Problems view, opened if it is not. */
export async function showProblems(page) {
  const view = page.locator('.markers-panel-container');
  if (!(await view.isVisible())) await page.keyboard.press('Control+Shift+M');
  await view.waitFor({ timeout: patience });
  return view;
}

/** Text of each problem in the Problems view, shown as a table. The view draws only the rows that fit. */
export function problemRows(page) {
  return page.locator('.markers-panel-container .monaco-table .monaco-list-row').allTextContents();
}

/** Waits, from one change of the page to the next, until the rows of the Problems view make `holds` true. */
export async function untilProblems(page, holds, wanted) {
  const deadline = Date.now() + patience;
  for (;;) {
    const rows = await problemRows(page);
    if (holds(rows)) return rows;
    if (Date.now() > deadline)
      throw new Error(`Wanted ${wanted}; the Problems view has:\n${rows.join('\n')}`);
    await nextChange(page, '.markers-panel-container', deadline - Date.now());
  }
}

// Settles with the next change below `selector`, or when the time is over.
function nextChange(page, selector, milliseconds) {
  return page.evaluate(
    ([selector, milliseconds]) =>
      new Promise((resolve) => {
        const finish = () => {
          observer.disconnect();
          clearTimeout(timer);
          resolve();
        };
        const observer = new MutationObserver(finish);
        observer.observe(document.querySelector(selector) ?? document.body, {
          subtree: true,
          childList: true,
          characterData: true,
        });
        const timer = setTimeout(finish, Math.min(milliseconds, 2_000));
      }),
    [selector, milliseconds],
  );
}

/** Rests the mouse on `word` in the editor and returns the text of the hover that appears. */
export async function hoverOver(page, word, contains) {
  const target = page.locator('.editor-instance .view-line span > span', { hasText: word }).first();
  await page.mouse.move(5, 5);
  await target.hover({ timeout: patience });
  const hover = page.locator('.monaco-hover:visible', { hasText: contains }).first();
  await hover.waitFor({ timeout: patience });
  return (await hover.textContent()) ?? '';
}

/** The picture in the hover that is open, once it is drawn: its words and its size, against the room it has. */
export async function hoverPicture(page, contains) {
  const hover = page.locator('.monaco-hover:visible', { hasText: contains }).first();
  const picture = hover.locator('img').first();
  await picture.waitFor({ timeout: patience });
  return picture.evaluate(async (image) => {
    await image.decode();
    const { width, height } = image.getBoundingClientRect();
    const room = image.closest('.monaco-hover').getBoundingClientRect();
    return {
      alt: image.alt,
      width,
      height,
      drawn: image.naturalWidth,
      room: { width: room.width, height: room.height },
    };
  });
}

/**
 * Quick fix by keyboard: Ctrl+., arrow down to the title, Enter. Findings that come just then make VS Code 1.100 say that there is none, though
 * it was told of some; then it is asked again.
 */
export async function applyQuickFix(page, title) {
  const rows = page.locator('.action-widget .monaco-list-row.action');
  await pressUntil(page, 'Control+.', rows.filter({ hasText: title }).first());
  const chosen = page.locator('.action-widget .monaco-list-row.focused', { hasText: title });
  for (let step = await rows.count(); step > 0 && !(await chosen.count()); step -= 1) {
    await page.keyboard.press('ArrowDown');
  }
  if (!(await chosen.count())) throw new Error(`"${title}" cannot be reached with the arrow keys`);
  await page.keyboard.press('Enter');
  await rows.first().waitFor({ state: 'hidden', timeout: patience });
}
