import { type Explanation, lookUp } from '../reports/explanation';
import type { Rule } from '../rules/rule';
import { byNearness } from '../syntax/json/nearest';
import type { Core } from './core';
import { exitCodes, Failure } from './failure';
import { compare } from './tally';
import type { Terminal } from './terminal';
import { columns, wrap } from './text';

/** Columns for running text in files and pipes, where no terminal says how wide it is. */
const readable = 100;

export function explain(name: string | undefined, core: Core, terminal: Terminal): number {
  terminal.out(name === undefined ? listRules(core.rules, terminal) : answer(name, core, terminal));
  return exitCodes.clean;
}

function answer(name: string, core: Core, terminal: Terminal): string {
  const wanted = name.trim();
  const found = lookUp(wanted, core);
  if (found) return explanationText(found, terminal);

  const group = core.rules.filter(({ id }) => id.split('/')[0] === wanted.toLowerCase().replace(/\/$/, ''));
  if (group.length > 0) return listRules(group, terminal);

  const near = nearNames(wanted, core);
  throw new Failure(
    `There is no rule and no setting called "${wanted}".`,
    near.length > 0
      ? `Did you mean ${near.join(' or ')}?`
      : `List the rules with: ${terminal.program} explain`,
  );
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
  const blocks = sections.map((section) => {
    const body =
      section.kind === 'code'
        ? section.text.split('\n').map((line) => `    ${line}`.trimEnd())
        : plainLines(section.text).map((line) =>
            wrap(line, room, '  ', line.startsWith('- ') ? '    ' : '  '),
          );
    return [colours.bold(section.heading), ...body].join('\n');
  });
  return `${[wrap(colours.bold(title), room), ...blocks].join('\n\n')}\n`;
}

/** Paragraphs and list items of simple Markdown, one a line, without emphasis and code marks. */
const plainLines = (markdown: string): string[] =>
  markdown
    .replace(/\r/g, '')
    .split(/\n\s*\n|\n(?=\s*[-*] )/)
    .map((paragraph) =>
      paragraph
        .replace(/\s+/g, ' ')
        .trim()
        .replace(/\*\*([^*]+)\*\*/g, '$1')
        .replace(/`([^`]+)`/g, '$1'),
    )
    .filter(Boolean);

function listRules(rules: readonly Rule[], { colours, width, program }: Terminal): string {
  const sorted = [...rules].sort((a, b) => compare(a.id, b.id));
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
