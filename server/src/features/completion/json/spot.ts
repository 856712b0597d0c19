import { createScanner, getLocation, type Node, parseTree, type Segment } from 'jsonc-parser';
import { resolveSchema, type Schema } from '../../../syntax/json';

export type Path = readonly Segment[];

/** What is being typed at one offset of a JSON text. Offsets are those of the text. */
export interface JsonSpot {
  /** A key of an object, or a value: of a member or of a list. */
  readonly kind: 'key' | 'value';
  /** Keys and indices down to what is typed; for a key, to the object that gets it. */
  readonly path: Path;
  /** What the schema says of the value that is typed, or of the object whose key is. Alternatives are left to who asks. */
  readonly schema: Schema | undefined;
  /** The text that is replaced: the whole string with its quotes, or the word that stands there. */
  readonly start: number;
  readonly end: number;
  /** What stands between `start` and the cursor, without a quote. */
  readonly typed: string;
  readonly quoted: boolean;
  /** A colon follows: the member has its value already. */
  readonly hasValue: boolean;
}

/** jsonc-parser's token kinds are a const enum, which isolated modules cannot read. */
const LINE_COMMENT = 12;
const BLOCK_COMMENT = 13;
const END = 17;

/** The text of the comment around an offset, from its mark up to the offset. Undefined outside of comments. */
export function jsonCommentBefore(text: string, offset: number): string | undefined {
  if (text.lastIndexOf('/', offset - 1) < 0) return undefined;
  const scanner = createScanner(text, false);
  for (let kind: number = scanner.scan(); kind !== END; kind = scanner.scan()) {
    const start = scanner.getTokenOffset();
    if (start >= offset) return undefined;
    if (kind !== LINE_COMMENT && kind !== BLOCK_COMMENT) continue;
    const end = start + scanner.getTokenLength();
    const closed = kind === BLOCK_COMMENT && text.slice(start, end).endsWith('*/') && end - start >= 4;
    if (closed ? offset < end : offset <= end) return text.slice(start, offset);
  }
  return undefined;
}

/** Undefined where nothing can be proposed. Never throws, whatever the text. */
export function jsonSpot(text: string, offset: number, root: Schema): JsonSpot | undefined {
  const { path, isAtPropertyKey, previousNode } = getLocation(text, offset);
  const whole = isAtPropertyKey ? path.slice(0, -1) : path;
  const schema = schemaAt(root, whole);
  const token = previousNode && tokenAt(text, previousNode, offset);
  // Behind a complete value comes a comma or a bracket.
  if (previousNode && !token) return undefined;
  const rest = { kind: isAtPropertyKey ? 'key' : 'value', path: whole, schema } as const;
  if (token) return { ...rest, ...token, hasValue: isAtPropertyKey && colonFollows(text, token.end) };
  const word = /[\w.+-]*$/.exec(text.slice(Math.max(0, offset - 200), offset))?.[0] ?? '';
  const after = /^[\w.+-]*/.exec(text.slice(offset, offset + 200))?.[0] ?? '';
  if (path.length === 0) return undefined;
  const ahead =
    text
      .slice(0, offset - word.length)
      .trimEnd()
      .at(-1) ?? '';
  // Values begin behind a colon, a bracket or a comma, keys behind a brace or a comma; anything else is a slip.
  if (!(isAtPropertyKey ? '{,/' : ':[,/').includes(ahead)) return undefined;
  const end = offset + after.length;
  return {
    ...rest,
    start: offset - word.length,
    end,
    typed: word,
    quoted: false,
    hasValue: isAtPropertyKey && colonFollows(text, end),
  };
}

type Token = Pick<JsonSpot, 'start' | 'end' | 'typed' | 'quoted'>;

/** What of the literal around or before the cursor is replaced; nothing when the cursor is behind its end. */
function tokenAt(text: string, { offset: start, length, type }: Node, offset: number): Token | undefined {
  const end = start + length;
  const quoted = text[start] === '"';
  if (!quoted) {
    // A number or a word that is half typed.
    if (type !== 'string' && type !== 'property' && offset > end) return undefined;
    return { start, end: Math.max(end, offset), typed: text.slice(start, offset), quoted: false };
  }
  const closed = length > 1 && text[end - 1] === '"' && text[end - 2] !== '\\';
  if (offset <= start || (closed ? offset >= end : offset > end)) return undefined;
  const typed = text.slice(start + 1, offset);
  // A quote that is missing lets the string run on into what follows: only what belongs to it is replaced.
  const rest = text.slice(offset, end);
  const own = /^[^",:[\]{}]*"/.exec(rest)?.[0] ?? /^[\w.+-]*/.exec(rest)?.[0] ?? '';
  const foreign = closed && own.length === rest.length && /^\s*[\w.-]/.test(text.slice(end));
  return { start, end: offset + (foreign ? 0 : own.length), typed, quoted };
}

const colonFollows = (text: string, offset: number): boolean =>
  /^\s*:/.test(text.slice(offset, offset + 200));

/** The schema of a value by its path: properties by name, any other key by `additionalProperties`, items of lists. */
export function schemaAt(root: Schema, path: Path): Schema | undefined {
  let schema: Schema | undefined = root;
  for (const segment of path) {
    const step: Schema | undefined = schema && resolveSchema(schema, root);
    schema = formsOf(step, root)
      .map((form) => below(form, segment))
      .find((found) => found !== undefined);
    if (!schema) return undefined;
  }
  return resolveSchema(schema, root);
}

/** A schema and the forms that it lets one choose from. */
export const formsOf = (schema: Schema | undefined, root: Schema): readonly Schema[] =>
  schema ? [schema, ...(schema.anyOf ?? []).map((form) => resolveSchema(form, root))] : [];

function below(schema: Schema, segment: Segment): Schema | undefined {
  if (typeof segment === 'number') return schema.items;
  const own = Object.hasOwn(schema.properties ?? {}, segment) ? schema.properties?.[segment] : undefined;
  return own ?? (typeof schema.additionalProperties === 'object' ? schema.additionalProperties : undefined);
}

/** What a broken text still says: the value of a path, as plain JSON. */
export function readPath(tree: Node | undefined, path: Path): unknown {
  let node = tree;
  for (const segment of path) {
    if (!node) return undefined;
    if (typeof segment === 'number') node = node.type === 'array' ? node.children?.[segment] : undefined;
    else node = node.children?.find(({ children }) => children?.[0]?.value === segment)?.children?.[1];
  }
  return node && plainOf(node);
}

function plainOf(node: Node): unknown {
  if (node.type === 'array') return (node.children ?? []).map(plainOf);
  if (node.type !== 'object') return node.value;
  return Object.fromEntries(
    (node.children ?? []).flatMap(({ children: [key, value] = [] }) =>
      key && typeof key.value === 'string' ? [[key.value, value && plainOf(value)] as const] : [],
    ),
  );
}

export const treeOf = (text: string): Node | undefined => parseTree(text, [], { allowTrailingComma: true });
