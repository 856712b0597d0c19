import { boundText, explainRange } from '../features/explainValue';
import { code, literal } from '../features/markdown';
import type { Concept } from '../settings/concept';
import { type Explanation, points, words } from './explanation';

/**
 * @param neutralName the name of the setting in the naming that ships with Fettle
 * @param looking ids of the rules that look at it
 */
export function settingExplanation(
  concept: Concept,
  neutralName: string,
  looking: readonly string[] = [],
): Explanation {
  const choices = concept.choices?.map(
    ({ id, title, effect }) => `${code(id)}: ${literal(title)}. ${effect}`,
  );
  return {
    title: `${concept.id}: ${concept.title}`,
    sections: [
      ...words('What it does', concept.explain),
      ...words('On the machine', concept.physics),
      ...words('Kind of value', kindText(concept)),
      ...points('Choices', choices ?? []),
      ...words('Range', explainRange(concept)),
      ...words('Which way is weaker', concept.weaker && weakerText[concept.weaker]),
      ...words('When the board changes', boundText[concept.bound]),
      ...words('Name in the shipped naming', code(neutralName)),
      ...words('Rules that look at it', lookingText(looking)),
      ...words('Caution', concept.caution),
    ],
  };
}

/** Rules on names and text look at every setting alike, and are not told one by one. */
const lookingText = (looking: readonly string[]): string | undefined =>
  looking.length === 0
    ? undefined
    : `${looking.map(code).join(', ')}; besides those on names and text, which look at every setting.`;

const kindText = ({ type, unit }: Concept): string => (unit ? `${type} in ${literal(unit)}` : type);

const weakerText: Record<NonNullable<Concept['weaker']>, string> = {
  higher: 'A higher value guards less. No edit that Fettle offers raises it.',
  lower: 'A lower value guards less. No edit that Fettle offers lowers it.',
  off: 'Off guards less. No edit that Fettle offers turns it off.',
};
