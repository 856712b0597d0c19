/** Values of the placeholders in concept ids, and the words that stand for them in titles. */

const AXES = ['x', 'y', 'z', 'e0', 'e1', 'e2', 'e3'];
const TOOLS = ['0', '1', '2', '3'];
const ENDS = ['low', 'high'];
const LINKS = ['host', 'panel'];

export interface Expansion {
  readonly id: string;
  readonly parts: Readonly<Record<string, string>>;
}

/** Every id that a pattern such as 'endstop.{axis}.{end}.pin' stands for. `axes` narrows `{axis}`. */
export function expand(pattern: string, axes: readonly string[] = AXES): Expansion[] {
  const values: Readonly<Record<string, readonly string[]>> = {
    axis: axes,
    Axis: axes,
    n: TOOLS,
    end: ENDS,
    link: LINKS,
  };
  let expansions: Expansion[] = [{ id: pattern, parts: {} }];
  for (const [mark, name] of pattern.matchAll(/\{(\w+)\}/g) as Iterable<[string, string]>) {
    const part = name === 'Axis' ? 'axis' : name;
    expansions = expansions.flatMap(({ id, parts }) =>
      (values[name] ?? []).map((value) => ({
        id: id.replace(mark, name === 'Axis' ? value.toUpperCase() : value),
        parts: { ...parts, [part]: value },
      })),
    );
  }
  return expansions;
}

/** "X" for x, "feed axis 0" for e0. */
export const axisWords = (axis: string): string =>
  axis.startsWith('e') ? `feed axis ${axis.slice(1)}` : axis.toUpperCase();

const LINK_WORDS: Readonly<Record<string, string>> = { host: 'host', panel: 'panel' };

/** The title with its placeholders put into words, first letter in capitals. */
export function titleOf(template: string, id: string, parts: Readonly<Record<string, string>>): string {
  const words: Readonly<Record<string, string>> = {
    axis: axisWords(parts.axis ?? ''),
    Axis: axisWords(parts.axis ?? ''),
    end: parts.end ?? '',
    link: LINK_WORDS[parts.link ?? ''] ?? '',
    zone: parts.n === undefined ? 'bed' : `tool ${parts.n}`,
    fan: fanWords(id, parts.n),
    input: inputWords(id, parts),
  };
  const title = template.replace(/\{(\w+)\}/g, (mark, name: string) => words[name] ?? mark);
  return title.charAt(0).toUpperCase() + title.slice(1);
}

function fanWords(id: string, tool: string | undefined): string {
  if (tool !== undefined) return `cold-side fan of tool ${tool}`;
  return id.startsWith('fan.part') ? 'part fan' : 'electronics fan';
}

function inputWords(id: string, parts: Readonly<Record<string, string>>): string {
  if (parts.axis !== undefined) return `${axisWords(parts.axis)} ${parts.end} endstop`;
  return id.startsWith('door') ? 'door switch' : 'probe';
}
