import { plain } from '../features/markdown';
import type { Place } from '../model/place';
import type { Analysis } from '../project';
import { type Block, type Explanation, explanationMarkdown } from '../reports/explanation';
import { explain as explanationOf, lookUp, type Topic } from '../reports/lookUp';
import type { Rule } from '../rules/rule';
import { byNearness } from '../syntax/json/nearest';
import type { Core } from './core';
import { diskHost } from './diskHost';
import { explanationJson } from './explanationJson';
import { exitCodes, Failure } from './failure';
import { LineTable } from './lines';
import { folderUriOf, relativePath } from './paths';
import { compare } from './tally';
import { analyseTargets, failUnread } from './targets';
import type { Terminal } from './terminal';
import { columns, wrap } from './text';

/** Columns for running text in files and pipes, where no terminal says how wide it is. */
const readable = 100;

export interface ExplainOptions {
  readonly format: 'text' | 'markdown' | 'json';
  /** Folder, project file or settings file whose numbers are told; the current folder's project when left out, if there is one. */
  readonly in?: string;
}

export async function explain(
  name: string | undefined,
  options: ExplainOptions,
  core: Core,
  terminal: Terminal,
): Promise<number> {
  terminal.out(await answer(name?.trim() ?? '', options, core, terminal));
  return exitCodes.clean;
}

async function answer(
  wanted: string,
  options: ExplainOptions,
  core: Core,
  terminal: Terminal,
): Promise<string> {
  const topic = lookUp(wanted, core);
  if (topic) return topicText(topic, options, core, terminal);

  const group = wanted.toLowerCase().replace(/\/$/, '');
  const listed = wanted === '' ? core.rules : core.rules.filter(({ id }) => id.split('/')[0] === group);
  if (listed.length > 0 || wanted === '') return listRules(listed, options.format, terminal);

  const own = await ownSetting(wanted, options, core, terminal);
  if (own) return topicText(own, options, core, terminal);

  const near = nearNames(wanted, core);
  throw new Failure(
    `There is no rule and no setting called "${wanted}".`,
    near.length > 0
      ? `Did you mean ${near.join(' or ')}?`
      : `List the rules with: ${terminal.program} explain`,
  );
}

async function topicText(
  topic: Topic,
  { format, in: path }: ExplainOptions,
  core: Core,
  terminal: Terminal,
): Promise<string> {
  const analysis = 'concept' in topic ? await analysisFor(path, core, terminal) : undefined;
  if (format === 'json') {
    const json = await explanationJson(topic, core, analysis, terminal.folder);
    return `${JSON.stringify(json, undefined, 2)}\n`;
  }
  const explanation = await explanationOf(
    topic,
    core,
    analysis && { analysis, at: positions(analysis, terminal) },
  );
  return format === 'markdown' ? explanationMarkdown(explanation) : explanationText(explanation, terminal);
}

/** What a name of the project's own firmware stands for, by its name map. @throws Failure when it holds several settings */
async function ownSetting(
  name: string,
  { in: path }: ExplainOptions,
  core: Core,
  terminal: Terminal,
): Promise<Topic | undefined> {
  const settings = (await analysisFor(path, core, terminal))?.machine.settings;
  const set = settings?.all.filter(({ entry }) => entry.name === name).map(({ concept }) => concept);
  const known = [...(settings?.concepts.values() ?? [])].filter(({ id }) => settings?.nameOf(id) === name);
  const found = new Map([...(set ?? []), ...known].map((concept) => [concept.id, concept]));
  const [first] = found.values();
  if (found.size > 1) {
    throw new Failure(
      `${name} holds several settings.`,
      `Give one of them: ${[...found.keys()].slice(0, 6).join(', ')}`,
    );
  }
  return first && { concept: first };
}

/** @throws Failure for a path that leads to nothing that can be read */
async function analysisFor(
  path: string | undefined,
  core: Core,
  terminal: Terminal,
): Promise<Analysis | undefined> {
  const host = diskHost();
  if (path === undefined && !(await isInProject(terminal.folder, core))) return undefined;
  const [analysis] = await analyseTargets([path ?? '.'], terminal, core, host);
  failUnread(host.failures, terminal.folder);
  return analysis;
}

async function isInProject(folder: string, core: Core): Promise<boolean> {
  return (await core.findProjectFile(folderUriOf(folder), diskHost())) !== undefined;
}

function positions({ texts }: Analysis, { folder }: Terminal): (place: Place) => string {
  const lines = new LineTable(texts);
  return ({ uri, start }) => {
    const { line, column } = lines.at(uri, start);
    return `${relativePath(uri, folder)}:${line}:${column}`;
  };
}

/** The nearest names, slips in at most a third of the letters; or names whose last part alone is near. */
function nearNames(name: string, core: Core): string[] {
  const names = [
    ...core.rules.map(({ id }) => id),
    ...core.concepts.map(({ id }) => id),
    ...core.concepts.map((concept) => core.neutralName(concept)),
  ];
  const limit = Math.max(2, Math.floor(name.length / 3));
  const lastParts = new Map(names.map((full) => [full.split(/[/.]/).at(-1) ?? full, full]));
  const whole = byNearness(name, new Set(names));
  const byLast = byNearness(name, lastParts.keys()).map((near) => ({
    name: lastParts.get(near.name) ?? near.name,
    steps: near.steps + 1,
  }));
  const rated = [...whole, ...byLast].filter(({ steps }) => steps <= limit).sort((a, b) => a.steps - b.steps);
  return [...new Set(rated.map((near) => near.name))].slice(0, 3);
}

function explanationText({ title, sections }: Explanation, { colours, width }: Terminal): string {
  const room = Math.min(width, readable);
  const texts = sections.map(({ heading, blocks }) =>
    [colours.bold(heading), blocks.map((block) => blockText(block, room)).join('\n')].join('\n'),
  );
  return `${[wrap(colours.bold(title), room), ...texts].join('\n\n')}\n`;
}

function blockText(block: Block, room: number): string {
  if (block.kind === 'code') {
    const code = block.text.split('\n').map((line) => `    ${line}`.trimEnd());
    return (block.file === undefined ? code : [`  ${block.file}:`, ...code]).join('\n');
  }
  return plainLines(block.text)
    .map((line) => wrap(line, room, '  ', line.startsWith('- ') ? '    ' : '  '))
    .join('\n');
}

/** Paragraphs and list items of simple Markdown, one a line, without marks. */
const plainLines = (markdown: string): string[] =>
  markdown
    .replace(/\r/g, '')
    .split(/\n\s*\n|\n(?=\s*[-*] )/)
    .map((paragraph) => plain(paragraph.replace(/[ \t\n]+/g, ' ').trim()))
    .filter(Boolean);

function listRules(rules: readonly Rule[], format: ExplainOptions['format'], terminal: Terminal): string {
  const sorted = [...rules].sort((a, b) => compare(a.id, b.id));
  if (format === 'json') {
    return `${JSON.stringify({ version: 1, rules: sorted.map(({ id, title }) => ({ id, title })) }, undefined, 2)}\n`;
  }
  if (format === 'markdown') return `${sorted.map(({ id, title }) => `- \`${id}\`: ${title}`).join('\n')}\n`;
  const { colours, width, program } = terminal;
  const longest = Math.max(0, ...sorted.map(({ id }) => columns(id)));
  const rows = sorted.map(({ id, title }) =>
    wrap(
      title,
      width,
      `  ${colours.bold(id)}${' '.repeat(longest - columns(id))}  `,
      ' '.repeat(longest + 4),
    ),
  );
  return `${rows.join('\n')}\n\nRead one with: ${program} explain RULE\n`;
}
