import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Rule } from '../rules/rule';
import type { Concept } from '../settings/concept';
import { ruleExplanation } from './explainRule';
import { settingExplanation } from './explainSetting';
import type { Explanation } from './explanation';
import { lookingRules } from './lookingRules';
import { settingHere, settingHereSections } from './settingHere';
import { workExample } from './workedExample';

/** Everything that can be explained. */
export interface Catalogue {
  readonly rules: readonly Rule[];
  readonly concepts: readonly Concept[];
  /** Name of a setting in the naming that ships with Fettle. */
  neutralName(concept: Concept): string;
}

export type Topic = { readonly rule: Rule } | { readonly concept: Concept };

/** A rule by its id, or a setting by its id, its id with placeholders, or its name in the shipped naming. Case does not count. */
export function lookUp(name: string, { rules, concepts, neutralName }: Catalogue): Topic | undefined {
  const wanted = name.trim().toLowerCase();
  const is = (candidate: string) => candidate.toLowerCase() === wanted;
  const rule = rules.find(({ id }) => is(id));
  if (rule) return { rule };
  const concept =
    concepts.find(({ id }) => is(id)) ??
    concepts.find(({ pattern }) => is(pattern)) ??
    concepts.find((each) => is(neutralName(each)));
  return concept && { concept };
}

/** All that is to say about a topic; without a project unless one is given. */
export async function explain(topic: Topic, catalogue: Catalogue, project?: InProject): Promise<Explanation> {
  if ('rule' in topic) return ruleExplanation(topic.rule, await workExample(topic.rule));
  const { concept } = topic;
  const name = catalogue.neutralName(concept);
  const looking = await rulesLookingAt(concept, catalogue, project?.analysis);
  const { title, sections } = settingExplanation(concept, name, looking);
  if (!project) return { title, sections };
  const here = settingHere(project.analysis, concept);
  return { title, sections: [...sections, ...settingHereSections(here, project.analysis, project.at)] };
}

export interface InProject {
  readonly analysis: Analysis;
  /** A place in words. */
  at(place: Place): string;
}

/** Ids in the order of the catalogue; rules that look at the text of every setting are left out. */
export async function rulesLookingAt(
  { id, pattern }: Concept,
  { rules }: Catalogue,
  analysis?: Analysis,
): Promise<readonly string[]> {
  const inExamples = (await lookingRules(rules)).get(pattern) ?? [];
  return rules
    .filter(
      (rule) => !rule.textOnly && (inExamples.includes(rule.id) || analysis?.looks.get(rule.id)?.has(id)),
    )
    .map((rule) => rule.id);
}
