// Draws icon.png from icon.svg, with the browser that the editor tests use: node client/makeIcon.mjs
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { findChromium } from '../test/editor-host/tools.mjs';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const browser = await chromium.launch({
  executablePath: findChromium(),
  args: ['--no-sandbox', '--disable-gpu'],
});
const page = await browser.newPage({ viewport: { width: 128, height: 128 } });
await page.setContent(
  `<style>body{margin:0}svg{display:block}</style>${readFileSync(here('icon.svg'), 'utf8')}`,
);
await page.screenshot({ path: here('icon.png'), omitBackground: true });
await browser.close();
