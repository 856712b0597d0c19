import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Concept } from '../settings/concept';
import type { Reading } from '../settings/reading';
import type { Entry } from '../syntax/entry';
import { explainState } from './explainState';
import { boundText, explainRange, explainValue } from './explainValue';
import { figureOf } from './figures';
import { judgement } from './hoverJudgement';
import { plotOfFact, plotParts, wantedBy } from './hoverPlots';
import { type HoverTools, missingText, placeLink, type RuleWords, section, type View } from './hoverWords';
import { code, list, literal, paragraphs } from './markdown';
import { holds, type Spot, writtenValue } from './places';
import { plotOf } from './plots';
import { usersOf } from './usedBy';

export type { HoverTools, RuleWords } from './hoverWords';

export interface HoverText {
  readonly markdown: string;
  /** What it is about. */
  readonly place: Place;
}

/**
 * Everything that is known about one spot of a project's file: the setting that stands there with its meaning and value, what was
 * computed from it, what contradicts it and why, and which missing fact would tell more.
 */
export function hoverAt(analysis: Analysis, spot: Spot, tools: HoverTools): HoverText | undefined {
  const view = { analysis, tools };
  return allowanceHover(view, spot) ?? settingHover(view, spot) ?? valueHover(view, spot);
}

/** On a comment that allows rules: what these rules say. */
function allowanceHover({ analysis, tools }: View, spot: Spot): HoverText | undefined {
  const text = analysis.texts.get(spot.uri);
  if (text === undefined) return undefined;
  const start = text.lastIndexOf('\n', spot.offset - 1) + 1;
  const end = text.indexOf('\n', spot.offset);
  const line = text.slice(start, end < 0 ? text.length : end);
  const found = /\bfettle\s*:\s*allow\b[ \t]*/i.exec(line);
  if (!found || spot.offset < start + found.index) return undefined;
  const listed = line.slice(found.index + found[0].length).split(/\bbecause\b/)[0] ?? '';
  const ids = [...listed.matchAll(/[a-z]+\/[a-z0-9-]+/g)];
  const pointed = ids.find((id) => {
    const at = start + found.index + found[0].length + (id.index ?? 0);
    return at <= spot.offset && spot.offset <= at + id[0].length;
  });
  const rules = (pointed ? [pointed] : ids)
    .map(([id]) => tools.rule(id))
    .filter((rule) => rule !== undefined);
  if (rules.length === 0) return undefined;
  return {
    markdown: rules.map(ruleWords).join('\n\n---\n\n'),
    place: { uri: spot.uri, start: start + found.index, end: start + line.trimEnd().length },
  };
}

const ruleWords = (rule: RuleWords): string =>
  paragraphs([
    `**${literal(rule.title)}** ${code(rule.id)}`,
    rule.what,
    `**Why it matters**: ${rule.why}`,
    `**Formula**: ${rule.formula}`,
    `**Source**: ${rule.source}`,
    rule.caution && `⚠ ${rule.caution}`,
  ]);

/** On a setting's name or value. */
function settingHover(view: View, spot: Spot): HoverText | undefined {
  const { settings, text } = view.analysis.machine;
  const entry = text
    .entriesAt(spot.uri, spot.offset)
    .find(({ namePlace, valuePlace }) => holds(namePlace, spot) || (valuePlace && holds(valuePlace, spot)));
  if (!entry) return undefined;
  const readings = settings.ofEntry(entry.index);
  const onValue = readings.filter((reading) => holds(reading.place, spot));
  const meant = onValue.length > 0 && !holds(entry.namePlace, spot) ? onValue : readings;
  const about = meant.length === 1 ? meant[0]!.place : entry.place;
  const [only] = meant.length === 1 ? meant : [];
  const plotted = only ? plotOf(view.analysis.machine, only) : {};
  const sections = [
    ...judgement(view, meant.length === readings.length ? entry.place : about, wantedBy(plotted, about)),
    ...usedBy(view, entry),
  ];
  if (meant.length === 0) return unmappedHover(view, entry, spot, sections);
  const first = meant[0]!.concept;
  const cautions = [...new Set(meant.map(({ concept }) => concept.caution).filter(Boolean))];
  return {
    markdown: paragraphs([
      meant.length === 1 ? heading(first) : list(meant.map((reading) => titledValue(view, reading))),
      meant.length === 1 ? valueLine(view, meant[0]!) : heading(first),
      explainState(entry, (place) => placeLink(view, place)),
      first.explain,
      ...plotParts(view, plotted),
      first.physics,
      paragraphs([explainRange(first), boundText[first.bound]]).replace(/\n\n/g, ' '),
      ...sections,
      ...cautions.map((caution) => `⚠ ${caution}`),
    ]),
    place: holds(entry.namePlace, spot) ? entry.namePlace : about,
  };
}

const heading = (concept: Concept): string => `**${literal(concept.title)}** ${code(concept.id)}`;

function valueLine(view: View, reading: Reading): string {
  const value = explainValue(reading, writtenValue(view.analysis, reading));
  const expanded = reading.entry.usedDefinitions.map(({ name, place }) =>
    place ? `${code(name)} (${placeLink(view, place)})` : code(name),
  );
  const origin = expanded.length > 0 ? `, from ${expanded.join(', ')}` : '';
  const figure = reading.entry.state === 'active' ? figureOf(view.analysis, reading) : undefined;
  return `${value}${origin}${figure ? `${/[.!?]$/.test(value + origin) ? '' : '.'} On this machine: **${literal(figure)}**.` : ''}`;
}

/** Other definitions that are built from this one. */
function usedBy(view: View, entry: Entry): string[] {
  const users = usersOf(view.analysis, entry);
  const items = users.slice(0, MOST_USERS).map(({ entry: user, reading }) => {
    const what = reading ? `${literal(reading.concept.title)} ` : '';
    return `${what}${code(user.name)} (${placeLink(view, user.namePlace)})`;
  });
  if (users.length > MOST_USERS) items.push(`and ${users.length - MOST_USERS} more`);
  return [section('Used by', items)].filter((text) => text !== undefined);
}
const MOST_USERS = 12;

const titledValue = (view: View, reading: Reading): string =>
  `${literal(reading.concept.title)}: ${valueLine(view, reading)}`;

/** A name that no map knows is worth a word only when something was found out about it. */
function unmappedHover(
  view: View,
  entry: Entry,
  spot: Spot,
  sections: readonly string[],
): HoverText | undefined {
  const state = explainState(entry, (place) => placeLink(view, place));
  const asked = view.analysis.missing.find(({ rule }) => rule === 'names/unknown-setting');
  if (sections.length === 0 && state === undefined && !asked) return undefined;
  if (!holds(entry.namePlace, spot) && sections.length === 0) return undefined;
  return {
    markdown: paragraphs([
      `${code(entry.name)}: no name map says which setting this is.`,
      state,
      ...sections,
      // The question is asked once for all names that nothing knows.
      sections.length === 0 && asked && entry.state === 'active'
        ? section('Would tell more', [missingText(view, asked)])
        : undefined,
    ]),
    place: entry.namePlace,
  };
}

/** On anything else in a project's file, a board's fact for instance: what rests on it. */
function valueHover(view: View, spot: Spot): HoverText | undefined {
  const { findings, agreements, missing } = view.analysis;
  const places = [
    ...[...findings, ...agreements].flatMap(({ place, causes }) => [
      place,
      ...causes.map((cause) => cause.place),
    ]),
    ...missing.map(({ place }) => place),
  ].filter((place) => holds(place, spot));
  const smallest = places.sort((a, b) => a.end - a.start - (b.end - b.start))[0];
  if (!smallest) return undefined;
  const here = { uri: spot.uri, start: spot.offset, end: spot.offset };
  const sections = judgement(view, here);
  if (sections.length === 0) return undefined;
  return { markdown: paragraphs([...sections, ...plotOfFact(view, here)]), place: smallest };
}
