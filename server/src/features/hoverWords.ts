import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Missing, Rule } from '../rules/rule';
import { code, list, literal } from './markdown';
import { fileLabel } from './places';

export type RuleWords = Pick<Rule, 'id' | 'title' | 'what' | 'why' | 'formula' | 'source' | 'caution'>;

export interface HoverTools {
  /** A place as a Markdown link with its line, "[board profile, line 12](…)". */
  link(place: Place, label: string): string;
  rule(id: string): RuleWords | undefined;
  /** A rule's id in Markdown; a link to its explanation where the client has one. */
  ruleName?(id: string): string;
  /** Whether the client shows pictures that carry their own data. The words that belong to them come in any case. */
  readonly plots?: boolean;
}

/** What a hover is made from: a project, and how the client shows things. */
export interface View {
  readonly analysis: Analysis;
  readonly tools: HoverTools;
}

/** A titled list; nothing without items. */
export const section = (title: string, items: readonly string[]): string | undefined =>
  items.length === 0 ? undefined : `**${title}**\n${list(items)}`;

export const missingText = (view: View, { question, rule }: Missing): string =>
  `${literal(question)} ${ruleName(view, rule)}`;

export const placeLink = ({ analysis, tools }: View, place: Place): string =>
  tools.link(place, fileLabel(analysis, place.uri));

export const ruleName = ({ tools }: View, id: string): string => tools.ruleName?.(id) ?? code(id);
