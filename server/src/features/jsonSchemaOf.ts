import { parseTree } from 'jsonc-parser';

/** True when the JSON text names a schema itself, so that an editor with JSON support checks and completes it. */
export function hasOwnSchema(text: string): boolean {
  const root = parseTree(text);
  if (root?.type !== 'object') return false;
  return (root.children ?? []).some(
    ({ children: [key, value] = [] }) => key?.value === '$schema' && typeof value?.value === 'string',
  );
}
