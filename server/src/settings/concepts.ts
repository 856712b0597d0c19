import axis from '../../../schemas/concepts/axis.json';
import build from '../../../schemas/concepts/build.json';
import endstop from '../../../schemas/concepts/endstop.json';
import guard from '../../../schemas/concepts/guard.json';
import heat from '../../../schemas/concepts/heat.json';
import link from '../../../schemas/concepts/link.json';
import machine from '../../../schemas/concepts/machine.json';
import motion from '../../../schemas/concepts/motion.json';
import output from '../../../schemas/concepts/output.json';
import panel from '../../../schemas/concepts/panel.json';
import sensing from '../../../schemas/concepts/sensing.json';
import type { Concept } from './concept';
import { expand, titleOf } from './placeholders';

export type ConceptTable = ReadonlyMap<string, Concept>;

/** One concept as its file writes it: ids with placeholders, a title with words to fill in. */
interface ConceptRecord extends Omit<Concept, 'id' | 'pattern' | 'parts' | 'group'> {
  readonly id: string | readonly string[];
  /** Narrows `{axis}`. */
  readonly axes?: readonly string[];
}

export interface ConceptFile {
  readonly group: string;
  readonly title: string;
  readonly concepts: readonly ConceptRecord[];
}

/** The shipped files. The test against `schemas/concepts.schema.json` is what makes this cast true. */
export const CONCEPT_FILES = [
  machine,
  build,
  link,
  axis,
  motion,
  endstop,
  heat,
  sensing,
  guard,
  output,
  panel,
] as unknown as readonly ConceptFile[];

/** Groups in the order of the files, with their titles. */
export const CONCEPT_GROUPS: readonly { readonly group: string; readonly title: string }[] =
  CONCEPT_FILES.map(({ group, title }) => ({ group, title }));

/** All concepts of the files, placeholders expanded, in the order of the files. A later id replaces an earlier one. */
export function expandConcepts(files: readonly ConceptFile[]): ConceptTable {
  const table = new Map<string, Concept>();
  for (const { group, concepts } of files) {
    for (const { id: ids, axes, title, ...rest } of concepts) {
      for (const pattern of typeof ids === 'string' ? [ids] : ids) {
        for (const { id, parts } of expand(pattern, axes)) {
          table.set(id, { ...rest, id, pattern, parts, group, title: titleOf(title, id, parts) });
        }
      }
    }
  }
  return table;
}

export const CONCEPTS: ConceptTable = expandConcepts(CONCEPT_FILES);
