import type { Place } from '../model/place';
import type { Agreement, Cause, Finding, Missing } from '../rules/rule';
import { missingText, placeLink, ruleName, section, type View } from './hoverWords';
import { judgementOf } from './judgement';
import { list, literal, paragraphs } from './markdown';
import { settingAt } from './usedBy';

/** What rules made of a place, in Markdown; `wanted` are questions beside theirs. */
export function judgement(view: View, place: Place, wanted: readonly Missing[] = []): string[] {
  const { findings, allowed, agreements, missing, resting } = judgementOf(view.analysis, [place]);
  const asked = new Set(missing.map(({ question }) => question));
  const unasked = wanted.filter(({ question }) => !asked.has(question));
  return [
    ...findings.map((finding) => findingText(view, finding)),
    section(
      'Allowed by a comment',
      allowed.map(
        ({ finding, reason }) =>
          `${literal(finding.message)} ${ruleName(view, finding.rule)}, because ${literal(reason)}`,
      ),
    ),
    section(
      'Computed',
      agreements.map((agreement) => agreementText(view, agreement)),
    ),
    section('Would tell more', unique([...missing, ...unasked].map((one) => missingText(view, one)))),
    section('Rests on this', [
      ...resting.findings.map(
        (finding) => `${signs[finding.severity]} ${literal(finding.message)} ${restingOn(view, finding)}`,
      ),
      ...resting.agreements.map((agreement) => `${literal(agreement.message)} ${restingOn(view, agreement)}`),
    ]),
  ].filter((text) => text !== undefined);
}

/** Rule and place of something that rests on what is hovered over, with the setting that stands there. */
function restingOn(view: View, { rule, place }: { readonly rule: string; readonly place: Place }): string {
  const setting = settingAt(view.analysis, place);
  const what = setting ? `${literal(setting.concept.title)}, ` : '';
  return `${ruleName(view, rule)} (${what}${placeLink(view, place)})`;
}

const signs: Record<Finding['severity'], string> = {
  error: 'Error:',
  warning: 'Warning:',
  info: 'Note:',
  hint: 'Hint:',
};

function findingText(view: View, finding: Finding): string {
  const rule = view.tools.rule(finding.rule);
  const caution = finding.caution ?? rule?.caution;
  const causes = finding.causes.map((cause) => causeText(view, cause));
  const inWords = finding.remedies
    .filter(({ safety }) => safety === 'words')
    .map(({ title }) => literal(title));
  return paragraphs([
    `**${signs[finding.severity]}** ${literal(finding.message)} ${ruleName(view, finding.rule)}`,
    causes.length > 0 ? list(causes) : undefined,
    inWords.length > 0 ? `To mend it:\n${list(inWords)}` : undefined,
    rule && `${rule.why} Formula: ${rule.formula}. Source: ${rule.source}.`.replace(/\.\.(?= |$)/g, '.'),
    caution && `⚠ ${caution}`,
  ]);
}

const causeText = (view: View, cause: Cause): string =>
  `${literal(cause.message)} (${placeLink(view, cause.place)})`;

function agreementText(view: View, agreement: Agreement): string {
  const causes = agreement.causes.map((cause) => `\n  - ${causeText(view, cause)}`);
  return `${literal(agreement.message)} ${ruleName(view, agreement.rule)}${unique(causes).join('')}`;
}

const unique = (items: readonly string[]): string[] => [...new Set(items)];
