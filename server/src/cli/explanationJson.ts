import type { Place } from '../model/place';
import type { Analysis } from '../project';
import { type Catalogue, rulesLookingAt, type Topic } from '../reports/lookUp';
import { type SettingHere, settingHere } from '../reports/settingHere';
import { workExample } from '../reports/workedExample';
import type { Concept } from '../settings/concept';
import type { ReadingValue } from '../settings/reading';
import { type JsonPlaces, jsonFinding, jsonPlaces } from './jsonPlaces';
import { relativePath } from './paths';

/** Raised when a field changes its meaning or goes away; new fields do not raise it. */
const version = 1;

/** Output of `fettle explain --format json`: what does not apply is null or an empty list. Numbers are in the setting's own unit. */
export async function explanationJson(
  topic: Topic,
  catalogue: Catalogue,
  analysis: Analysis | undefined,
  folder: string,
): Promise<object> {
  if ('rule' in topic) {
    const { id, title, what, why, formula, source, severity, caution } = topic.rule;
    const example = await workExample(topic.rule);
    return {
      version,
      rule: { id, title, what, why, formula, source, severity, caution: caution ?? null, example },
    };
  }
  const { concept } = topic;
  return {
    version,
    setting: {
      ...conceptJson(concept),
      name: catalogue.neutralName(concept),
      rules: await rulesLookingAt(concept, catalogue, analysis),
    },
    here: analysis ? hereJson(settingHere(analysis, concept), analysis, folder) : null,
  };
}

const conceptJson = (concept: Concept) => ({
  id: concept.id,
  title: concept.title,
  type: concept.type,
  quantity: concept.quantity ?? null,
  unit: concept.unit ?? null,
  explain: concept.explain,
  physics: concept.physics ?? null,
  choices: concept.choices ?? [],
  hard: concept.hard ?? null,
  usual: concept.usual ?? null,
  usualByDrive: concept.usualByDrive ?? null,
  usualSource: concept.usualSource ?? null,
  bound: concept.bound,
  weaker: concept.weaker ?? null,
  caution: concept.caution ?? null,
});

function hereJson(here: SettingHere, analysis: Analysis, folder: string) {
  const places = jsonPlaces(analysis, folder);
  const { findings, allowed, agreements, missing, resting } = here;
  return {
    project: analysis.files.projectFile ? relativePath(analysis.files.projectFile, folder) : null,
    name: here.name ?? null,
    readings: here.readings.map(({ reading, name, written }) => ({
      ...places.at(reading.place),
      name,
      written,
      value: valueJson(reading.value),
      state: reading.entry.state,
    })),
    findings: findings.map((finding) => jsonFinding(finding, places)),
    allowed: allowed.map(({ finding, reason }) => ({ ...jsonFinding(finding, places), reason })),
    agreements: agreements.map((agreement) => agreementJson(agreement, places)),
    missing: missing.map(({ rule, question }) => ({ rule, question })),
    resting: {
      findings: resting.findings.map((finding) => jsonFinding(finding, places)),
      agreements: resting.agreements.map((agreement) => agreementJson(agreement, places)),
    },
  };
}

const agreementJson = (
  { rule, place, message, causes }: SettingHere['agreements'][number],
  { at }: JsonPlaces,
) => ({
  ...at(place),
  rule,
  message,
  causes: causes.map((cause: { place: Place; message: string }) => ({
    ...at(cause.place),
    message: cause.message,
  })),
});

/** The value alone: a number in the setting's unit, true or false, a text; null when there is none that is known. */
function valueJson(value: ReadingValue): number | boolean | string | null {
  switch (value.kind) {
    case 'number':
      return value.inUnit;
    case 'switch':
      return value.on;
    case 'pin':
      return value.pin;
    case 'choice':
      return value.choice;
    case 'text':
      return value.text;
    default:
      return null;
  }
}
