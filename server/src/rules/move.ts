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
  let moved = false;
  for (const place of placesOf(answers)) {
    const now = move(place);
    if (!now) return undefined;
    moved ||= now !== place;
  }
  return moved ? movedAnswers(answers, (place) => move(place) ?? place) : answers;
}

function* placesOf({ findings, agreements, missing }: Answers): Iterable<Place> {
  for (const { place, root, causes, remedies } of findings) {
    yield place;
    if (root) yield root;
    for (const cause of causes) yield cause.place;
    for (const { edits } of remedies) for (const edit of edits) yield edit.place;
  }
  for (const { place, causes } of agreements) {
    yield place;
    for (const cause of causes) yield cause.place;
  }
  for (const { place } of missing) yield place;
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
