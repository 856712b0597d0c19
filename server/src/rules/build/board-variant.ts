import type { BoardForm } from '../../board/variants';
import type { Place } from '../../model/place';
import { capitalised, inWords, listed, remedy } from '../kit';
import type { Cause, Finding, Remedy, Rule, RuleContext } from '../rule';
import { defineRule, severities } from '../rule';

const example = (clock: string, sheet: string, mark = '') => `#define BUILD_CLOCK_HZ ${clock}${mark}
//- a.board.json
{
  "name": "Example board",
  "variants": [
    { "name": "8 MHz", "mark": "8.000 on the can", "crystal": "8 MHz" },
    { "name": "12 MHz", "mark": "12.000 on the can", "crystal": "12 MHz" }
  ]
}
//- a.machine.json
{ "name": "Example machine"${sheet} }`;

const ID = 'build/board-variant';

export default defineRule({
  id: ID,
  title: 'Which form of the board is it?',
  what: 'The board was made in several forms, and what the other rules say of these settings hangs on which one you have.',
  why: 'A build that is right for one form may be wrong, or harmful, on the other.',
  formula: 'the other rules, once for each form; what they say of all forms alike is left out',
  source: "the forms in the board profile (variants); the other rules' own sources",
  severity: ['warning', 'info'],
  bad: [
    example(
      '8000000',
      '',
      '\n                       ^^^^^^^ build/board-variant: right for 8 MHz (8.000 on the can)',
    ),
  ],
  good: [
    example('8000000', ', "boardVariant": "8 MHz"'),
    example('8000000', '').replace('"crystal": "12 MHz"', '"crystal": "8 MHz"'),
  ],
  check(context) {
    const { machine } = context;
    const forms = machine.forms();
    const about = machine.board?.variants[0]?.place;
    if (forms.length < 2 || !about) return;
    const chosen = machine.sheet?.boardVariant;
    const known = machine.board?.variants.some(
      ({ name }) => name.value.trim().toUpperCase() === chosen?.value.trim().toUpperCase(),
    );
    if (chosen && known) {
      context.agree({ place: about, message: `The machine sheet says which form it is: ${chosen.value}` });
      return;
    }
    // A name that no form has is told by the file itself.
    if (chosen) return;
    const answers = forms.map((form) => answersFor(context, form));
    const differing = differences(answers);
    if (differing.length === 0) {
      context.need<unknown>(
        undefined,
        about,
        `Add which form of the board you have (boardVariant) to the machine sheet: ${listed(forms.map(titled), 'or')}. For these settings it makes no difference so far`,
      );
      return;
    }
    report(context, answers, differing);
  },
});

interface FormAnswers {
  readonly form: BoardForm;
  readonly findings: readonly Finding[];
}

/** Rules on the text alone do not know boards, and rules about changes compare with another board anyway. */
const isAsked = ({ id, textOnly }: Rule): boolean =>
  !textOnly && id !== ID && !id.startsWith('review/') && !id.startsWith('names/');

function answersFor(context: RuleContext, form: BoardForm): FormAnswers {
  const { findings } = context.answersOf(isAsked, context.machine.onBoard(form.board));
  return { form, findings };
}

const keyOf = ({ rule, severity, place }: Finding): string =>
  `${rule} ${severity} ${place.uri} ${place.start}`;

/** Findings that not every form gets. */
function differences(answers: readonly FormAnswers[]): Finding[] {
  const counts = new Map<string, { readonly finding: Finding; count: number }>();
  for (const { findings } of answers) {
    for (const [key, finding] of new Map(findings.map((one) => [keyOf(one), one]))) {
      const known = counts.get(key);
      if (known) known.count++;
      else counts.set(key, { finding, count: 1 });
    }
  }
  return [...counts.values()].flatMap(({ finding, count }) => (count < answers.length ? [finding] : []));
}

const rank = ({ severity }: Finding): number => severities.indexOf(severity);

/** What is looked at before the first power-on: a clock, a sense resistor, a pin. */
const isGrave = ({ rule, severity }: Finding): boolean =>
  (severity === 'error' || severity === 'warning') &&
  /^(?:build\/clock-mismatch|drivers\/(?:sense-resistor|current-)|pins\/|link\/)/.test(rule);

function report(context: RuleContext, answers: readonly FormAnswers[], differing: readonly Finding[]): void {
  const own = new Set(differing.map(keyOf));
  const [worst] = [...differing].sort((a, b) => rank(a) - rank(b));
  if (!worst) return;
  const lines = answers.map(({ form, findings }) => ({
    form,
    said: findings.filter((finding) => own.has(keyOf(finding))),
  }));
  const clean = lines.filter(({ said }) => said.length === 0).map(({ form }) => titled(form));
  const others = lines
    .filter(({ said }) => said.length > 0)
    .map(
      ({ form, said }) =>
        `on ${titled(form)}, ${said[0]?.rule}: ${said[0]?.message}${said.length > 1 ? ` (and ${said.length - 1} more)` : ''}`,
    );
  const message = [
    `This board was made in ${answers.length} forms.`,
    ...(clean.length > 0 ? [`These settings are right for ${listed(clean)};`] : []),
    `${clean.length > 0 ? others.join('; ') : capitalised(others.join('; '))}`,
    'Look which one you have before flashing.',
  ].join(' ');
  const { place } = worst;
  context.report({
    severity: differing.some(isGrave) ? 'warning' : 'info',
    place,
    message,
    concept: worst.concept,
    causes: [
      ...lines.flatMap(({ form, said }) =>
        said.slice(1, 5).map(
          (finding): Cause => ({
            place: finding.place,
            message: `on ${titled(form)}, ${finding.rule}: ${finding.message}`,
          }),
        ),
      ),
      ...answers.flatMap(({ form }) => markOf(form, place)),
    ],
    remedies: lines.map(({ form, said }) => recording(context, form, said)),
  });
}

const titled = ({ name, mark }: BoardForm): string => (mark ? `${name} (${mark})` : name);

function markOf({ name, variant }: BoardForm, at: Place): Cause[] {
  if (!variant || (variant.place.uri === at.uri && variant.place.start === at.start)) return [];
  return [{ place: variant.place, message: `the form ${name}` }];
}

/** By edit only for a form on which nothing is wrong: on the others there is more to do than to write it down. */
function recording(context: RuleContext, form: BoardForm, said: readonly Finding[]): Remedy {
  const { sheet } = context.machine;
  const name = JSON.stringify(form.name);
  if (!form.variant)
    return inWords(
      `If it is the form that the profile itself describes, list it among its "variants" and note it on the machine sheet`,
    );
  if (said.length > 0 || !sheet)
    return inWords(
      said.length > 0
        ? `If it is ${titled(form)}, note "boardVariant": ${name} on the machine sheet and mend what is then wrong`
        : `If it is ${titled(form)}, start a machine sheet and note "boardVariant": ${name} on it`,
    );
  const { uri, start } = sheet.place;
  return remedy(`It is ${titled(form)}: note that on the machine sheet`, [
    { place: { uri, start: start + 1, end: start + 1 }, newText: ` "boardVariant": ${name},` },
  ]);
}
