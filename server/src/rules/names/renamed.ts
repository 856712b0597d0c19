import type { Concept } from '../../settings/concept';
import type { RenamedEntry } from '../../settings/reading';
import { inWords, remedy } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const map = `
//- a.names.json
{
  "version": "2.1",
  "names": { "Z_GUARD_WINDOW": "guard.bed.holdWindow" },
  "renamed": [{ "from": "BED_GUARD_TIME", "to": "Z_GUARD_WINDOW", "since": "2.0" }]
}`;

export default defineRule({
  id: 'names/renamed',
  title: 'A name that was given up',
  what: 'A setting has a name that this version of the firmware no longer reads.',
  why: 'The line looks right and does nothing, or its sense has turned round.',
  formula: 'name ∈ old names and version ≥ version of the change; new value = conversion of the old one',
  source: "the name map's table of renamed settings",
  severity: ['error', 'warning', 'info'],
  bad: [
    `#define BED_GUARD_TIME 40\n        ^^^^^^^^^^^^^^ names/renamed: is Z_GUARD_WINDOW since version 2.0${map}`,
  ],
  good: [`#define Z_GUARD_WINDOW 40${map}`],
  check(context) {
    for (const entry of context.machine.settings.renamed) checkEntry(context, entry);
  },
});

function checkEntry(context: RuleContext, renamed: RenamedEntry): void {
  const { settings, sheet } = context.machine;
  const { entry, rename } = renamed;
  const version = sheet?.firmware?.version?.value ?? settings.firmwareVersion;
  const order = rename.since === undefined ? 1 : version && compareVersions(version, rename.since);
  if (order === undefined || order === '') {
    context.need<unknown>(
      undefined,
      entry.namePlace,
      `Add the version of your firmware ("version" of the name map, or firmware.version on the machine sheet) and I can tell whether ${entry.name} is still read (it became ${rename.to} with version ${rename.since})`,
    );
    return;
  }
  if (order < 0) {
    context.agree({
      place: entry.namePlace,
      message: `${entry.name} is right for version ${version}; it becomes ${rename.to} with version ${rename.since}`,
    });
    return;
  }
  report(context, renamed);
}

function report(context: RuleContext, { entry, rename, value }: RenamedEntry): void {
  const { settings } = context.machine;
  const concept = conceptOf(context, rename.to);
  const successor =
    concept &&
    settings
      .readingsOf(concept.id)
      .find((one) => one.entry.name === rename.to && one.entry.state === 'active');
  const stillRead = settings.all.some((reading) => reading.entry === entry);
  const since = rename.since === undefined ? 'now' : `since version ${rename.since}`;
  const turned = rename.sense === 'inverted' && value !== undefined;
  const converted = turned
    ? ` Its sense turned round: the old ${said(entry.name, entry.rawText)} is the new ${said(rename.to, value)}.`
    : rename.sense === 'inverted'
      ? ' Its sense turned round.'
      : value !== undefined && value !== entry.rawText
        ? ` The old ${said(entry.name, entry.rawText)} is the new ${said(rename.to, value)}.`
        : '';
  const effect = stillRead
    ? 'The old name is still read, but not for ever.'
    : successor
      ? `${rename.to} is set as well, and nothing reads this line.`
      : 'Nothing reads this line.';
  context.report({
    severity: severityOf(concept, stillRead, successor !== undefined),
    place: entry.namePlace,
    message: `${entry.name} is ${rename.to} ${since}.${converted} ${effect}`,
    concept: concept?.id,
    root: entry.namePlace,
    causes: [
      ...(successor
        ? [{ place: successor.place, message: `set here under its new name: ${successor.entry.rawText}` }]
        : []),
      ...(rename.place ? [{ place: rename.place, message: 'the renaming, by the name map' }] : []),
    ],
    remedies:
      successor && !stillRead ? [deletion(entry.place, entry.name)] : replacement(entry, rename.to, value),
  });
}

const said = (name: string, value: string): string => `${name}${value === '' ? '' : ` ${value}`}`;

/** A guard or a pin under a name that nothing reads is a missing guard or pin. */
function severityOf(concept: Concept | undefined, stillRead: boolean, replaced: boolean): Severity {
  if (replaced) return 'info';
  const grave =
    concept && (concept.group === 'guard' || concept.weaker !== undefined || concept.type === 'pin');
  return grave && !stillRead ? 'error' : 'warning';
}

function conceptOf({ machine: { settings } }: RuleContext, name: string): Concept | undefined {
  for (const [id, concept] of settings.concepts) if (settings.nameOf(id) === name) return concept;
  return undefined;
}

const deletion = (place: RenamedEntry['entry']['place'], name: string): Remedy =>
  remedy(`Delete the old line ${name}`, [{ place, newText: '' }]);

function replacement(entry: RenamedEntry['entry'], to: string, value: string | undefined): Remedy[] {
  if (value === undefined)
    return [inWords(`Set ${to} instead and delete this line; its value has to be worked out by hand`)];
  const rename = { place: entry.namePlace, newText: to };
  if (value === entry.rawText) return [remedy(`Rename to ${to}`, [rename])];
  const place = entry.valuePlace;
  if (!place) return [remedy(`Replace by ${to} ${value}`, [{ ...rename, newText: `${to} ${value}` }])];
  return [remedy(`Replace by ${to} ${value}`, [rename, { place, newText: value }])];
}

/** Negative when `one` is older; nothing when they cannot be compared. Numbers with points between, as versions are written. */
export function compareVersions(one: string, other: string): number | undefined {
  const [left, right] = [numbers(one), numbers(other)];
  if (!left || !right) return undefined;
  for (let at = 0; at < Math.max(left.length, right.length); at++) {
    const difference = (left[at] ?? 0) - (right[at] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}

const numbers = (version: string): number[] | undefined => {
  const found = /^\s*(?:v|version)?\s*(\d+(?:\.\d+)*)(?![\w.])/i.exec(version)?.[1];
  return found?.split('.').map(Number);
};
