import type { Place } from '../model/place';
import type { Agreement, Cause, Finding, Missing } from './rule';

interface Answers {
  readonly findings: readonly Finding[];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
  readonly failures: readonly { readonly rule: string; readonly error: unknown }[];
}

/** A rule's answers with every place moved; nothing when one of them has no place any more. */
export function moveResults(
  answers: Answers,
  move: (place: Place) => Place | undefined,
): Answers | undefined {
  let lost = false;
  let moved = false;
  const to = (place: Place): Place => {
    const now = move(place);
    lost ||= now === undefined;
    moved ||= now !== place;
    return now ?? place;
  };
  const causes = (all: readonly Cause[]): Cause[] =>
    all.map((cause) => ({ ...cause, place: to(cause.place) }));
  const result: Answers = {
    findings: answers.findings.map((finding) => ({
      ...finding,
      place: to(finding.place),
      ...(finding.root && { root: to(finding.root) }),
      causes: causes(finding.causes),
      remedies: finding.remedies.map((remedy) => ({
        ...remedy,
        edits: remedy.edits.map((edit) => ({ ...edit, place: to(edit.place) })),
      })),
    })),
    agreements: answers.agreements.map((agreement) => ({
      ...agreement,
      place: to(agreement.place),
      causes: causes(agreement.causes),
    })),
    missing: answers.missing.map((missing) => ({ ...missing, place: to(missing.place) })),
    failures: answers.failures,
  };
  return lost ? undefined : moved ? result : answers;
}
