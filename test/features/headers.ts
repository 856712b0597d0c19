import { type CompletionQuestion, completionsAt } from '../../server/src/features/completion';
import type { CompletionItem } from '../../server/src/features/completion/item';
import type { Analysis } from '../../server/src/project/analysis';
import { rules } from '../../server/src/rules';
import { analyseFixture, plain } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

export const settingsUri = 'file:///example/settings.h';

/** The project that a fixture describes, without running a rule. */
export const analysed = (source: string): Promise<Analysis> => analyseFixture(readFixture(source), []);

export interface Proposed {
  readonly items: readonly CompletionItem[];
  /** "label: detail" */
  readonly lines: readonly string[];
  readonly labels: readonly string[];
  /** The text that is replaced. */
  readonly replaced: string | undefined;
  item(label: string): CompletionItem;
}

/** What is proposed at the fixture's cursor. */
export async function proposed(
  source: string,
  question: Partial<CompletionQuestion> = {},
  ruled = false,
): Promise<Proposed> {
  const fixture = readFixture(source);
  if (!fixture.cursor) throw new Error('the fixture has no cursor');
  const analysis = await analyseFixture(fixture, ruled ? undefined : []);
  const found = completionsAt(analysis, { ...fixture.cursor, rules, ...question });
  const items = found?.items ?? [];
  return {
    items,
    lines: items.map(({ label, detail }) => plain(`${label}: ${detail}`)),
    labels: items.map(({ label }) => label),
    replaced: found && fixture.files.get(found.place.uri)?.slice(found.place.start, found.place.end),
    item(label) {
      const item = items.find((one) => one.label === label);
      if (!item) throw new Error(`no ${label} among ${items.map((one) => one.label).join(' ')}`);
      return item;
    },
  };
}
