// Whether the board's picture can be read in the theme that is on: contrast of its words and signs, and what axe-core finds in the page.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What axe-core calls serious or critical in the page of a frame, in words. */
export async function seriousIn(frame) {
  await frame.evaluate(axe);
  const { violations, passes } = await frame.evaluate(() => globalThis.axe.run(document));
  if (passes.length === 0) throw new Error('axe-core checked nothing');
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(
      ({ id, help, nodes }) => `${id}: ${help} (${nodes.map(({ html }) => html.slice(0, 100)).join('; ')})`,
    );
}

/**
 * Words of the picture with less than 4.5 to 1, signs, marks and the focus ring with less than 3 to 1.
 * Source: WCAG 2.2, 1.4.3 and 1.4.11; relative luminance as defined there.
 */
export function weakIn(frame) {
  return frame.evaluate(() => {
    const parse = (colour) => {
      const [red, green, blue, alpha = 1] = colour.match(/[\d.]+/g).map(Number);
      return { parts: [red, green, blue], alpha };
    };
    const over = (colour, below) => {
      const { parts, alpha } = parse(colour);
      return parts.map((part, index) => part * alpha + below[index] * (1 - alpha));
    };
    const luminance = (parts) => {
      const [red, green, blue] = parts.map((part) =>
        part / 255 <= 0.04045 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4,
      );
      return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const contrast = (one, other) => {
      const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
      return (high + 0.05) / (low + 0.05);
    };
    const styleOf = (element) => getComputedStyle(element);
    const paper = over(styleOf(document.body).backgroundColor, [255, 255, 255]);
    const weak = [];
    const compare = (what, colour, below, least) => {
      const ratio = contrast(over(colour, below), below);
      if (!(ratio >= least)) weak.push(`${what}: ${ratio.toFixed(2)} to 1`);
    };
    const behind = (element) => {
      const box = element.closest('.socket')?.querySelector('.box');
      return box ? over(styleOf(box).fill, paper) : paper;
    };
    for (const text of document.querySelectorAll('svg text'))
      compare(`"${text.textContent}"`, styleOf(text).fill, behind(text), 4.5);
    for (const text of document.querySelectorAll('#words h1, #words li'))
      compare(`"${text.textContent}"`, styleOf(text).color, paper, 4.5);
    for (const sign of document.querySelectorAll('.sign')) {
      const [shape, stroke] = ['.shape', '.stroke'].map((part) => styleOf(sign.querySelector(part)));
      compare(`sign of ${sign.parentNode.dataset.socket}`, shape.fill, behind(sign), 3);
      compare(`sign in ${sign.parentNode.dataset.socket}`, stroke.stroke, over(shape.fill, paper), 3);
    }
    for (const here of document.querySelectorAll('.here')) {
      compare('mark of the cursor', styleOf(here.querySelector('.box')).stroke, paper, 3);
      compare('pointer', styleOf(here.querySelector('.pointer')).fill, paper, 3);
    }
    const ring = document.querySelector('.socket:focus-visible .ring');
    if (ring) compare('focus ring', styleOf(ring).stroke, paper, 3);
    return weak;
  });
}
