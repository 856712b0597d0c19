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
  // Most stay where they are, and then nothing is made anew.
  let lost = false;
  let moved = false;
  const look = ({ place }: { readonly place: Place }): void => {
    const now = move(place);
    lost ||= !now;
    moved ||= now !== place;
  };
  for (const finding of answers.findings) {
    look(finding);
    if (finding.root) look({ place: finding.root });
    finding.causes.forEach(look);
    for (const { edits } of finding.remedies) edits.forEach(look);
  }
  for (const agreement of answers.agreements) {
    look(agreement);
    agreement.causes.forEach(look);
  }
  answers.missing.forEach(look);
  if (lost) return undefined;
  return moved ? movedAnswers(answers, (place) => move(place) ?? place) : answers;
}

function movedAnswers(answers: Answers, to: (place: Place) => Place): Answers {
  const causes = (all: readonly Cause[]): Cause[] =>
    all.map((cause) => ({ ...cause, place: to(cause.place) }));
  return {
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
}
