import { describe, expect, it } from 'vitest';
import type { TextEdit } from '../../server/src/model/place';
import type { Analysis } from '../../server/src/project/analysis';
import { createMemory } from '../../server/src/project/memory';
import { type Finding, type Remedy, severities } from '../../server/src/rules/rule';
import { plain } from '../kit/checkRule';
import { applyEdits } from '../kit/edits';
import { analyseMistake, analysisOf } from './analyseMistake';
import { say, soundAnalysis } from './machines';
import { mistakes } from './mistakes';
import { withMistake } from './mistakes/mistake';

/**
 * Every remedy that is an edit, on every mistake that offers it. Graded `safe`: the finding goes and nothing as severe comes. Graded
 * `ask`: the finding goes and no error comes. After both the files can be read as before, and the same remedy is not offered again.
 */

/** Errors that may come with a remedy graded `ask`, with the reason. */
const FOLLOWS: ReadonlyMap<string, string> = new Map([
  [
    'build/stored-values-win',
    'whatever changes a value that the machine has stored needs its store reset as well',
  ],
]);

const inEdits = ({ safety, edits }: Remedy): boolean => safety !== 'words' && edits.length > 0;

describe.each(mistakes.map((mistake) => ({ ...mistake, mistake })))('$machine: $what', ({ mistake }) => {
  it('remedies', async () => {
    const before = await analysisOf(mistake);
    const files = withMistake(mistake);
    const known = before.findings.flatMap(said);
    const memory = createMemory();
    await analyseMistake(mistake, files, { memory });
    // Remarks about the correct machine would be tried with every mistake.
    const sound = new Set((await soundAnalysis(mistake.machine)).findings.map((finding) => say(finding)));
    const wrong: string[] = [];
    for (const finding of before.findings.filter((one) => !sound.has(say(one))))
      for (const remedy of finding.remedies.filter(inEdits)) {
        const changed = applyEdits(files, remedy.edits);
        const after = await analyseMistake(mistake, changed, { memory });
        const complaints = judge(finding, remedy, after, known);
        wrong.push(
          ...complaints.map((one) => `${say(finding)} | ${remedy.safety}: ${plain(remedy.title)} | ${one}`),
        );
      }
    expect(wrong).toEqual([]);
  });
});

interface Said {
  readonly rule: string;
  readonly place: Finding['place'];
}

/** What a finding says, and the findings that hang under it with the same root. */
const said = ({ rule, place, causes }: Finding): Said[] => [
  { rule, place },
  ...causes.flatMap(({ message, place: at }) => {
    const also = /^also (\S+): /.exec(message)?.[1];
    return also ? [{ rule: also, place: at }] : [];
  }),
];

const meet = (one: Finding['place'], other: Finding['place']): boolean =>
  one.uri === other.uri && one.start < other.end && other.start < one.end;

function judge(finding: Finding, remedy: Remedy, after: Analysis, known: readonly Said[]): string[] {
  const place = moved(finding.place, remedy.edits);
  const old = known.map((one) => ({ ...one, place: moved(one.place, remedy.edits) }));
  const complaints: string[] = [];
  const still = after.findings.find(
    (one) => one.rule === finding.rule && one.severity === finding.severity && meet(one.place, place),
  );
  if (still) complaints.push(`is still there: ${plain(still.message)}`);
  const again = after.findings.some(
    (one) =>
      one.rule === finding.rule &&
      meet(one.place, place) &&
      one.remedies.some((other) => inEdits(other) && other.title === remedy.title),
  );
  if (again) complaints.push('is offered again');
  const ceiling = remedy.safety === 'safe' ? severities.indexOf(finding.severity) : 0;
  for (const one of after.findings) {
    if (remedy.safety === 'ask' && FOLLOWS.has(one.rule)) continue;
    if (old.some(({ rule, place: at }) => rule === one.rule && meet(at, one.place))) continue;
    const unreadable = /^(?:files|syntax)\//.test(one.rule);
    if (unreadable || severities.indexOf(one.severity) <= ceiling) complaints.push(`then: ${say(one)}`);
  }
  return complaints;
}

/** Where a place is after edits; one that an edit touches covers the new text. */
function moved(place: Finding['place'], edits: readonly TextEdit[]): Finding['place'] {
  let { start, end } = place;
  for (const edit of edits) {
    if (edit.place.uri !== place.uri) continue;
    const growth = edit.newText.length - (edit.place.end - edit.place.start);
    if (edit.place.end <= place.start && edit.place.start < place.start) start += growth;
    if (edit.place.start < place.end || (edit.place.end <= place.start && edit.place.start < place.start))
      end += growth;
  }
  return { ...place, start, end: Math.max(end, start) };
}
