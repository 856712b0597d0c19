import { explainState } from '../features/explainState';
import { explainValue } from '../features/explainValue';
import { type Judgement, judgementOf } from '../features/judgement';
import { code, literal } from '../features/markdown';
import { fileLabel, writtenValue } from '../features/places';
import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import { nameOf } from '../rules/kit';
import type { Cause, Finding } from '../rules/rule';
import type { Concept } from '../settings/concept';
import type { Reading } from '../settings/reading';
import { points, type Section, words } from './explanation';

/** What one project makes of one setting. */
export interface SettingHere extends Judgement {
  /** Every line that speaks of it, in every state. */
  readonly readings: readonly ReadingHere[];
  /** How the settings in use would call it; undefined when none of their names means it. */
  readonly name?: string;
}

export interface ReadingHere {
  readonly reading: Reading;
  readonly name: string;
  readonly written: string;
}

export function settingHere(analysis: Analysis, { id }: Concept): SettingHere {
  const { settings } = analysis.machine;
  const readings = settings.readingsOf(id);
  return {
    // A list holds other settings too: only its own number counts there.
    ...judgementOf(
      analysis,
      readings.flatMap(({ entry, place, listIndex }) =>
        listIndex === undefined ? [entry.namePlace, place] : [place],
      ),
    ),
    readings: readings.map((reading) => ({
      reading,
      name: nameOf(reading),
      written: writtenValue(analysis, reading),
    })),
    name: settings.nameOf(id),
  };
}

/** @param at a place in words, for instance "settings.h:12:9" */
export function settingHereSections(
  here: SettingHere,
  analysis: Analysis,
  at: (place: Place) => string,
): Section[] {
  const findingText = ({ severity, message, rule, place, causes, caution }: Finding): string =>
    [
      `**${severity}**: ${literal(message)} (${code(rule)}, ${at(place)})`,
      causes.length > 0 && `Because of ${causes.map(causeText).join('; ')}.`,
      caution && `Caution: ${caution}`,
    ]
      .filter(Boolean)
      .join(' ');
  const causeText = (cause: Cause): string => `${literal(cause.message)} (${at(cause.place)})`;
  const agreementText = ({ message, rule, causes }: SettingHere['agreements'][number]): string => {
    const from = [...new Set(causes.map(({ place }) => `${fileLabel(analysis, place.uri)}, ${at(place)}`))];
    return `${literal(message)} (${code(rule)}${from.length > 0 ? `; from ${from.join('; ')}` : ''})`;
  };
  const readings = here.readings.map(({ reading, name, written }) =>
    [
      `${code(name)}: ${explainValue(reading, written)} (${at(reading.place)}).`,
      ...reading.entry.usedDefinitions.map(
        (used) => `It uses ${code(used.name)}${used.place ? ` (${at(used.place)})` : ''}.`,
      ),
      explainState(reading.entry, at) ?? '',
    ]
      .filter(Boolean)
      .join(' '),
  );
  const unset = here.name
    ? `No line of the settings sets it; its name would be ${code(here.name)}.`
    : 'No line of the settings sets it, and no name map in use has a name for it.';
  return [
    ...(readings.length > 0 ? points('Value here', readings) : words('Value here', unset)),
    ...points('Findings here', here.findings.map(findingText)),
    ...points(
      'Allowed here by a comment',
      here.allowed.map(({ finding, reason }) => `${findingText(finding)} Because ${literal(reason)}`),
    ),
    ...points('Computed here', here.agreements.map(agreementText)),
    ...points('Would tell more here', [
      ...new Set(here.missing.map(({ question, rule }) => `${literal(question)} (${code(rule)})`)),
    ]),
    ...points('Rests on it here', [
      ...here.resting.findings.map(findingText),
      ...here.resting.agreements.map(agreementText),
    ]),
  ];
}
