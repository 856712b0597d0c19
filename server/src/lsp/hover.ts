import type { Hover, Position } from 'vscode-languageserver';
import { type HoverTools, hoverAt, type RuleWords } from '../features/hover';
import type { JsonFiles } from '../features/jsonFiles';
import { code, link, literal, plain } from '../features/markdown';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { offsetIn, rangeOf } from './lines';
import { spelledIn } from './projects';
import { fileName, type KeyOf } from './uri';

export interface HoverQuestion {
  readonly uri: string;
  readonly position: Position;
  /** The text of the open document, when its keys are explained by a schema here and not by the editor. */
  readonly schemaText?: string;
  /** Whether the user wants plots, where the client can show them. */
  readonly plots: boolean;
}

export async function hover(
  question: HoverQuestion,
  analyses: readonly Analysis[],
  json: JsonFiles,
  rule: (id: string) => RuleWords | undefined,
  client: Client,
  keyOf: KeyOf,
): Promise<Hover | null> {
  const { uri, position, schemaText } = question;
  const plots = question.plots && client.hoverPlots && client.markdown;
  const answers: Hover[] = [];
  for (const analysis of analyses) {
    const spelled = spelledIn(analysis, uri, keyOf);
    const offset = spelled === undefined ? undefined : offsetIn(analysis, spelled, position);
    if (spelled === undefined || offset === undefined) continue;
    const found = hoverAt(analysis, { uri: spelled, offset }, toolsFor(analysis, rule, client, plots));
    if (found) answers.push({ contents: found.markdown, range: rangeOf(analysis, found.place) });
  }
  if (schemaText !== undefined) {
    const bySchema = await json.hover(uri, schemaText, position);
    if (bySchema) answers.unshift(bySchema);
  }
  const texts = [...new Set(answers.map(({ contents }) => textOfContents(contents)))].filter(Boolean);
  if (texts.length === 0) return null;
  const value = texts.join('\n\n---\n\n');
  return {
    contents: client.markdown ? { kind: 'markdown', value } : { kind: 'plaintext', value: plain(value) },
    range: answers[0]?.range,
  };
}

const toolsFor = (
  analysis: Analysis,
  rule: (id: string) => RuleWords | undefined,
  { explainCommand: explain, opensPlaces, markdown }: Client,
  plots: boolean,
): HoverTools => ({
  plots,
  rule,
  ruleName: (id) =>
    explain !== undefined && rule(id)
      ? `[${code(id)}](command:${explain}?${encodeURIComponent(JSON.stringify([id]))})`
      : code(id),
  link(place, label) {
    const range = rangeOf(analysis, place);
    if (!range) return label;
    const line = range.start.line + 1;
    // As compilers write it: many a terminal leads there.
    if (!opensPlaces || !markdown) return literal(`${fileName(place.uri)}:${line}`);
    return link(`${label}, line ${line}`, `${place.uri}#L${line}`);
  },
});

function textOfContents(contents: Hover['contents']): string {
  if (typeof contents === 'string') return contents;
  if (Array.isArray(contents)) return contents.map(textOfContents).join('\n\n');
  return contents.value;
}
