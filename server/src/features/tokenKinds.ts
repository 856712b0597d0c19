/** Kinds of the protocol's own list, so that every theme has a colour for them. */
export const tokenTypes = ['macro', 'comment'] as const;
/** The first two are of the protocol's list; the others are described in the client's manifest. */
export const tokenModifiers = [
  'definition',
  'deprecated',
  'setting',
  'inactive',
  'undecided',
  'commentedOut',
  'overridden',
] as const;

export type TokenType = (typeof tokenTypes)[number];
export type TokenModifier = (typeof tokenModifiers)[number];
