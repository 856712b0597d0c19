/**
 * What the editor tests expect of the sample machine. The only file to change when the sample or a message changes.
 * The findings are the ones planted in the sample; its README tells why each is wrong.
 */
export interface Expectations {
  /** Folder under the extension's root that is opened as the workspace (a scratch copy of it). */
  readonly sample: string;
  /** The file a person opens first. */
  readonly mainFile: string;
  /** Every diagnostic of the whole sample once `mainFile` is open: these and no more. */
  readonly findings: readonly Finding[];
  readonly hover: { readonly file: string; readonly name: string; readonly contains: readonly string[] };
  readonly fix: Fix;
  /** Language that each file must have, as plain VS Code would give it. */
  readonly languages: Readonly<Record<string, readonly string[]>>;
  /** A mistake in a JSON file that makes exactly one diagnostic in that file, whoever reports it. */
  readonly jsonMistakes: readonly JsonMistake[];
  /** Name of the board profile, which the status bar entry shows. */
  readonly boardName: string;
}

export interface Finding {
  /** Rule id, as the diagnostic's `code`. */
  readonly rule: string;
  readonly file: string;
  /** The whole line that the diagnostic starts on, without outer blanks. */
  readonly line: string;
}

export interface Fix {
  /** The finding that goes away. */
  readonly finding: Finding;
  /** Part of the title of the quick fix. */
  readonly title: string;
  /** Other findings that the same fix settles. */
  readonly alsoSettles?: readonly Finding[];
}

export interface JsonMistake {
  readonly name: string;
  readonly file: string;
  /** Text that occurs once in the file, and what is typed in its place. */
  readonly replace: string;
  readonly by: string;
}

const file = 'settings.h';

export const expectations: Expectations = {
  sample: 'client/sample/half-ported',
  mainFile: file,
  findings: [{ rule: 'link/baud-unreachable', file, line: '#define LINK_HOST_BAUD 230400' }],
  hover: { file, name: 'LINK_HOST_BAUD', contains: ['baud'] },
  fix: {
    finding: { rule: 'link/baud-unreachable', file, line: '#define LINK_HOST_BAUD 230400' },
    title: '250',
  },
  languages: {
    [file]: ['c', 'cpp'],
    'fettle.json': ['jsonc'],
  },
  jsonMistakes: [],
  boardName: 'Fjell 32',
};
