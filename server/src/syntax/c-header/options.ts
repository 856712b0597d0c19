import type { ExpansionLimits } from './expand';
import type { LexerOptions } from './lexer';

export type Language = 'c11' | 'c17' | 'c23' | 'c++';

export interface ReadLimits extends ExpansionLimits {
  /** How deep files may include each other. */
  readonly includeDepth: number;
  /** Inclusions in one translation. */
  readonly inclusions: number;
  /** Lines read in one translation, repeated inclusions counted. */
  readonly lines: number;
}

export const LIMITS: ReadLimits = {
  tokens: 200_000,
  depth: 200,
  includeDepth: 200,
  inclusions: 20_000,
  lines: 5_000_000,
};

/** Widths of the integer types whose width the language leaves open, in bits. */
export interface DataModel {
  readonly intBits: 16 | 32;
  readonly longBits: 32 | 64;
}

export interface ReadOptions {
  /** URI of the file the translation starts with. */
  readonly entry?: string;
  /** Several files, read one after the other as one translation unit. */
  readonly entries?: readonly string[];
  /** Text of a file in the snapshot; undefined when there is no such file. */
  readonly read: (uri: string) => string | undefined;
  /** The spelling under which the project knows a file, where it differs from the joined one (case, links). */
  readonly resolve?: (candidate: string, from: string) => string | undefined;
  /** What `__FILE__` says in a file; without it, its URI. */
  readonly nameOf?: (uri: string) => string;
  /** Names the build defines, with their values, as `-D` does. */
  readonly define?: Readonly<Record<string, string>>;
  /** Names the build is known not to define. */
  readonly undefine?: readonly string[];
  /** Names only the build knows, even where the project defines them in some branch. */
  readonly undecided?: readonly string[];
  /** URIs of folders searched for includes. */
  readonly includePaths?: readonly string[];
  /** Names the compiler itself defines; they are not part of the table of macros. */
  readonly predefined?: Readonly<Record<string, string>>;
  /**
   * Answers of the compiler to questions such as `__has_attribute(unused)`: by name of the operator, then by operand; an
   * operand without an answer has 0. Operators that are not here are names like any other.
   */
  readonly answers?: Readonly<Record<string, Readonly<Record<string, number>>>>;
  /** What a name that nothing defines counts as in a condition. A compiler takes it as `absent`. Default `undecided`. */
  readonly unknownNames?: 'undecided' | 'absent';
  /** Default `c23`; decides over `true` in conditions, digit separators, letters in names and word operators. */
  readonly language?: Language;
  readonly trigraphs?: boolean;
  readonly dataModel?: DataModel;
  readonly limits?: Partial<ReadLimits>;
}

export function lexerOptions({ language = 'c23', trigraphs = false }: ReadOptions): LexerOptions {
  const modern = language === 'c23' || language === 'c++';
  return { trigraphs, digitSeparators: modern, scopeOperator: modern, letters: modern ? 'c23' : 'c17' };
}
