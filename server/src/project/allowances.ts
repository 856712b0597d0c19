import type { Place, TextEdit } from '../model/place';
import type { Finding } from '../rules/rule';

/** A comment that allows a rule: `fettle: allow group/rule because reason`, on the finding's line or on the line before it. */
export interface Allowance {
  readonly rules: readonly string[];
  readonly reason: string;
  readonly place: Place;
  /** Offsets of the text that it covers: its own line when something else stands there, else the next line too. */
  readonly covers: { readonly start: number; readonly end: number };
}

export interface CommentText {
  readonly place: Place;
  readonly text: string;
}

const mark = /\bfettle\s*:\s*allow\b[ \t]*([^\r\n]*)/i;
const id = /^[a-z]+\/[a-z0-9-]+$/;

export const allowanceText = (rule: string, reason: string): string =>
  `fettle: allow ${rule} because ${reason}`;

export function readAllowances(
  comments: readonly CommentText[],
  texts: ReadonlyMap<string, string>,
): Allowance[] {
  return comments.flatMap((comment) => {
    const found = mark.exec(comment.text);
    const text = texts.get(comment.place.uri);
    if (!found || text === undefined) return [];
    const [list = '', ...rest] = found[1]!.replace(/\*\/\s*$/, '').split(/\bbecause\b/);
    return [
      {
        rules: list.split(/[\s,]+/).filter((word) => word !== ''),
        reason: rest.join('because').trim(),
        place: comment.place,
        covers: covered(text, comment.place),
      },
    ];
  });
}

function covered(text: string, place: Place): { start: number; end: number } {
  const lineStart = startOfLine(text, place.start);
  const lineEnd = endOfLine(text, place.end);
  const alone =
    text.slice(lineStart, place.start).trim() === '' && text.slice(place.end, lineEnd).trim() === '';
  return { start: lineStart, end: alone ? endOfLine(text, lineEnd + 1) : lineEnd };
}

/** End of the logical line: a line that ends in a backslash goes on. */
function endOfLine(text: string, from: number): number {
  for (let at = from; ; ) {
    const end = text.indexOf('\n', at);
    if (end < 0) return text.length;
    if (!/\\[ \t]*\r?$/.test(text.slice(Math.max(from, end - 8), end))) return end;
    at = end + 1;
  }
}

/** Start of the logical line. */
function startOfLine(text: string, from: number): number {
  for (let at = from; ; ) {
    const start = text.lastIndexOf('\n', at - 1) + 1;
    if (start === 0 || !/\\\r?\n$/.test(text.slice(Math.max(0, start - 3), start))) return start;
    at = start - 1;
  }
}

export interface Allowed {
  readonly findings: Finding[];
  readonly allowed: { finding: Finding; reason: string }[];
}

/**
 * Takes allowed findings out, and reports what is wrong with the allowances themselves: an unknown rule, a missing reason, or one
 * that allows nothing. Problems of an allowance can not be allowed.
 */
export function applyAllowances(
  findings: readonly Finding[],
  allowances: readonly Allowance[],
  isRule: (rule: string) => boolean,
): Allowed {
  const used = new Set<string>();
  const allowed: Allowed['allowed'] = [];
  const kept = findings.filter((finding) => {
    const allowance = allowances.find(
      (candidate) =>
        candidate.reason !== '' &&
        candidate.rules.includes(finding.rule) &&
        candidate.place.uri === finding.place.uri &&
        finding.place.start < candidate.covers.end &&
        finding.place.start >= candidate.covers.start,
    );
    if (!allowance) return true;
    used.add(keyOf(allowance, finding.rule));
    allowed.push({ finding, reason: allowance.reason });
    return false;
  });
  return {
    findings: [...kept, ...allowances.flatMap((allowance) => problemsOf(allowance, used, isRule))],
    allowed,
  };
}

const keyOf = (allowance: Allowance, rule: string) =>
  `${allowance.place.uri}:${allowance.place.start}:${rule}`;

function problemsOf(
  allowance: Allowance,
  used: ReadonlySet<string>,
  isRule: (rule: string) => boolean,
): Finding[] {
  const at = { place: allowance.place, causes: [], remedies: [] };
  if (allowance.rules.length === 0) {
    return [
      {
        ...at,
        rule: 'allow/without-rule',
        severity: 'warning',
        message:
          'This comment allows no rule. Name one, for instance "fettle: allow inputs/pull-without-effect because …".',
      },
    ];
  }
  if (allowance.reason === '') {
    return [
      {
        ...at,
        rule: 'allow/without-reason',
        severity: 'warning',
        message: `Say why: "${allowanceText(allowance.rules.join(', '), '…')}". Without a reason nothing is allowed.`,
      },
    ];
  }
  return allowance.rules.flatMap((rule): Finding[] => {
    if (!id.test(rule) || !isRule(rule)) {
      return [
        { ...at, rule: 'allow/unknown-rule', severity: 'warning', message: `There is no rule '${rule}'.` },
      ];
    }
    if (used.has(keyOf(allowance, rule))) return [];
    return [
      {
        ...at,
        rule: 'allow/unused',
        severity: 'hint',
        message: `Nothing here is found by ${rule} any more, so this comment can go.`,
      },
    ];
  });
}

/** Edit that allows `rule` at `place`, in a comment on a line of its own before it: that is right in C headers and in JSON alike. */
export function allowEdit(rule: string, reason: string, place: Place, text: string): TextEdit {
  const lineStart = startOfLine(text, place.start);
  const indent = /^[ \t]*/.exec(text.slice(lineStart))![0];
  const newLine = text.includes('\r\n') ? '\r\n' : '\n';
  return {
    place: { uri: place.uri, start: lineStart, end: lineStart },
    newText: `${indent}// ${allowanceText(rule, reason)}${newLine}`,
  };
}
