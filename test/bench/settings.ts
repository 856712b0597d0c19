// The settings of one large machine, the same for every format: the sample's finished port, then further settings of the shipped
// naming, then the project's own macros. Nothing here is random: the same number of settings gives the same text.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Concept } from '../../server/src/settings/concept';
import { CONCEPTS } from '../../server/src/settings/concepts';
import { neutralName, neutralNames, upperSnake } from '../../server/src/settings/neutralNames';

/** A line that defines nothing: a comment, a condition, a blank line. */
export interface Line {
  readonly text: string;
}

/** One setting, as the header writes it. */
export interface Setting {
  readonly name: string;
  readonly value: string;
  /** Parameters of a macro with arguments, "(length)"; empty for the others. */
  readonly parameters: string;
  /** What is written behind the value, with a space before it. */
  readonly tail: string;
  readonly concept?: Concept;
}

export type Item = Line | Setting;

export const isSetting = (item: Item): item is Setting => 'name' in item;

/** The setting that is edited: no physics hangs on it, and it has hard limits. */
export const marked = {
  name: 'AXIS_X_DRIVER_PORT',
  /** Highest value that works, as `schemas/concepts/axis.json` has it. */
  most: 255,
  /** A value is one digit, which the edits replace, and this. */
  rest: '50',
  /** 350 is too much: the files open with a finding. */
  firstDigit: 3,
} as const;

/** The finished port, below the root of the repository. */
export const sampleFolder = 'client/sample/finished';
/** Every so many of the further settings stay out of the files: something must be left for completion to offer. */
const leftOut = 8;

/**
 * Both servers on clang keep the directives before the first declaration in a precompiled form. One of them does not renew it before
 * the file is saved: in a header of nothing but directives it would have no news for a typist.
 */
const declaration = '_Static_assert(sizeof(int) >= 2, "numbers in this file have 16 bits at least");';

const conceptByName = new Map(neutralNames(CONCEPTS).map(({ concept, name }) => [name, concept]));

/** Names that the files do not have. */
export const unset = (items: readonly Item[]): readonly Concept[] => {
  const there = new Set(items.filter(isSetting).map(({ name }) => name));
  return [...conceptByName].filter(([name]) => !there.has(name)).map(([, concept]) => concept);
};

/**
 * A header of `count` settings, line by line, with the marked setting in its middle.
 * @param root of the repository
 * @throws RangeError when `count` is too small to hold the sample twice over
 */
export function machineSettings(count: number, root: string): readonly Item[] {
  const sample = sampleItems(root);
  const half = Math.floor(count / 2);
  const known = sample.filter(isSetting);
  if (half <= known.length) throw new RangeError(`at least ${2 * known.length + 2} settings are needed`);

  const others = furtherSettings(new Map(known.map(({ name, value }) => [name, value])));
  const end = sample.at(-1);
  const before = filled(sample.slice(0, -1), half, others);
  const items = filled([...before, ...markedItems()], count, others);
  return end ? [...items, end] : items;
}

/** @returns the items with as many of the others behind them as make it `count` settings */
function filled(items: readonly Item[], count: number, others: Iterator<readonly Item[]>): Item[] {
  const all = [...items];
  let settings = all.filter(isSetting).length;
  while (settings < count) {
    const next = others.next();
    if (next.done) return all;
    const added = next.value.filter(isSetting).length;
    // Where a whole block is too much, lines of its own kind fill up to the number.
    const block = settings + added <= count ? next.value : plainOnly(next.value, count - settings);
    all.push(...block);
    settings += block.filter(isSetting).length;
  }
  return all;
}

const plainOnly = (block: readonly Item[], most: number): Item[] =>
  block.filter((item): item is Setting => isSetting(item)).slice(0, most);

/** The sample's header with what it includes in its place. Its last line closes the guard around it. */
function sampleItems(root: string): Item[] {
  const read = (name: string): string[] =>
    readFileSync(join(root, sampleFolder, name), 'utf8')
      .trimEnd()
      .split('\n');
  return read('settings.h')
    .flatMap((line) => {
      const included = /^#include "(.+)"$/.exec(line)?.[1];
      return included ? read(included).filter((text) => text !== '#pragma once') : [line];
    })
    .flatMap((text) => (text === '#define WREN_SETTINGS_H' ? [text, '', declaration] : [text]))
    .map(itemOf);
}

function itemOf(text: string): Item {
  const found = /^#define (\w+)(\(\w+\))? (.*?)( \/[/*].*)?$/.exec(text);
  if (!found?.[1] || found[3] === undefined) return { text };
  const [, name, parameters = '', value, tail = ''] = found;
  return { name, parameters, value, tail, concept: conceptByName.get(name) };
}

const markedItems = (): Item[] => [
  { text: '' },
  { text: '// Which port of the board the driver of X listens at' },
  itemOf(`#define ${marked.name} ${marked.firstDigit}${marked.rest}`),
  { text: `#if ${marked.name} > ${marked.most}` },
  { text: '#error "the port number does not fit into its byte"' },
  { text: '#endif' },
];

/** What the sample leaves out of the shipped naming, then stations without end. */
function* furtherSettings(taken: ReadonlyMap<string, string>): Generator<readonly Item[], undefined> {
  let group = '';
  let index = 0;
  for (const concept of CONCEPTS.values()) {
    const name = neutralName(concept);
    // Further tools and feeds are like the first.
    const value = taken.get(name.replace(/(?<=_E|TOOL_)\d/, '0')) ?? soundValue(concept);
    // All pins of the board are in use.
    if (
      value === undefined ||
      concept.type === 'pin' ||
      taken.has(name) ||
      name === marked.name ||
      index++ % leftOut === 0
    )
      continue;
    const heading = concept.group === group ? [] : [{ text: '' }, { text: `// More of ${concept.group}` }];
    group = concept.group;
    yield [...heading, itemOf(`#define ${name} ${value}`)];
  }
  for (let number = 1; ; number++) yield station(number);
}

/** A value that works by itself. */
function soundValue({ type, usual, hard, choices }: Concept): string | undefined {
  if (type === 'switch') return '1';
  if (type === 'choice') return choices?.[0] && upperSnake(choices[0].id);
  if (type !== 'number' && type !== 'integer') return undefined;
  const { lo, hi } = usual ?? hard ?? {};
  if (lo === undefined || hi === undefined) return undefined;
  const middle = (lo + hi) / 2;
  if (type === 'integer') return String(2 ** Math.floor(Math.log2(Math.max(1, middle))));
  return Number.isInteger(middle) ? String(middle) : `${middle}f`;
}

/** The project's own macros about one of the places the machine drives to: plain numbers, expressions, a list, a text, conditions. */
function station(number: number): Item[] {
  const own = `STATION_${number}`;
  const [x, y] = [(number * 37) % 180, (number * 53) % 180];
  return [
    '',
    `// Station ${number}`,
    `#define ${own}_X_MM ${x}`,
    `#define ${own}_Y_MM ${y}.5f // from the front edge`,
    `#define ${own}_X_STEPS (${own}_X_MM * BELT_STEPS)`,
    `#define ${own}_NAME "station ${number}"`,
    `#define ${own}_PATH {${x}, ${y}, ${number % 165}}`,
    `#define ${own}_IN_USE ${number % 4 === 0 ? 0 : 1}`,
    `#if ${own}_IN_USE`,
    `#define ${own}_DWELL_MS (${own}_X_MM > 90 ? 250 : ${100 + (number % 50)}) /* longer at the far end */`,
    '#endif',
    `#ifdef ${own}_TRIAL`,
    `#define ${own}_TRIAL_SPEED_MM_PER_S 20`,
    '#endif',
    `// #define ${own}_SPARE 1`,
    `#define ${own}_TURN(angle) ((angle) * ${own}_X_STEPS / 360)`,
    `#define ${own}_OPTIONS (1 << ${number % 16} | 0x${(number % 256).toString(16)})`,
  ].map(itemOf);
}
