import { applyEdits } from '../../kit/edits';
import { type Files, filesOf, type MachineName, uriOf } from '../machines';

/** One text put in the place of another that occurs exactly once in the file. */
export interface Change {
  /** Name of a file in the machine's folder. */
  readonly file: string;
  readonly find: string;
  readonly replace: string;
}

/** A single mistake in a correct machine: one wrong fact, whatever number of edits it takes to write it down. */
export interface Mistake {
  readonly machine: MachineName;
  /** What somebody got wrong, in a few words. */
  readonly what: string;
  readonly edits: readonly Change[];
  /**
   * Rules that must say so, as an error or a warning: 'motion/steps-mismatch'. With a severity in front, exactly that one:
   * 'error motion/steps-mismatch', 'info names/unit-suspicion'. Nothing else above info may come.
   */
  readonly fires: readonly string[];
  /**
   * For rules about changes. `true` compares with the correct machine as the version before the edit; a name says from which other
   * machine this one was ported.
   */
  readonly base?: true | MachineName;
}

/** The machine's files with the mistake in them; throws when a `find` does not occur exactly once. */
export function withMistake({ machine, edits }: Mistake): Files {
  const files = filesOf(machine);
  const textEdits = edits.map(({ file, find, replace }) => {
    const uri = uriOf(machine, file);
    const text = files.get(uri);
    if (text === undefined) throw new Error(`${machine} has no file ${file}`);
    const parts = text.split(find);
    if (parts.length !== 2) throw new Error(`${file}: "${find}" occurs ${parts.length - 1} times`);
    const start = (parts[0] as string).length;
    return { place: { uri, start, end: start + find.length }, newText: replace };
  });
  return applyEdits(files, textEdits);
}

/** 'error motion/steps-mismatch' → its parts; without a severity: error or warning. */
export function expectation(fires: string): {
  readonly rule: string;
  readonly severities: readonly string[];
} {
  const [first = '', second] = fires.split(' ');
  return second === undefined
    ? { rule: first, severities: ['error', 'warning'] }
    : { rule: second, severities: [first] };
}
