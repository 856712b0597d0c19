import type { Change } from '../machine/compare';
import type { Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Place, TextEdit } from '../model/place';
import type { Steps } from '../model/steps';
import type { Reading } from '../settings/reading';

export type Severity = 'error' | 'warning' | 'info' | 'hint';
export const severities: readonly Severity[] = ['error', 'warning', 'info', 'hint'];

/** One step lower; a hint stays a hint. */
export const lower = (severity: Severity): Severity =>
  severities[Math.min(severities.indexOf(severity) + 1, severities.length - 1)]!;

/** A fact elsewhere that a finding rests on; shown as related information with its place. */
export interface Cause {
  readonly place: Place;
  readonly message: string;
}

/**
 * An exact edit that mends a finding. `safe`: may run in "fix all". `ask`: offered singly.
 * A remedy in words has no edits and is shown in the message's details. No remedy ever lowers a guard or raises a current or a
 * temperature limit by edit.
 */
export interface Remedy {
  readonly title: string;
  readonly safety: 'safe' | 'ask' | 'words';
  readonly edits: readonly TextEdit[];
}

export interface Finding {
  readonly rule: string;
  readonly severity: Severity;
  readonly place: Place;
  /** What is wrong, with the computed numbers, in plain words; one paragraph. */
  readonly message: string;
  readonly causes: readonly Cause[];
  readonly remedies: readonly Remedy[];
  /** Concept the finding is about, when there is one: stable across edits of the text. */
  readonly concept?: string;
  readonly caution?: string;
  /** The fact that is wrong if the finding is right, when the rule knows: findings with one root are shown as one problem. */
  readonly root?: Place;
}

/** A rule's word that it could compute and all is well; hover shows it. */
export interface Agreement {
  readonly rule: string;
  readonly place: Place;
  /** The derived figure in one line, for instance "12 kHz of 60 kHz with three axes moving (20 %)". */
  readonly message: string;
  readonly causes: readonly Cause[];
}

/** The single missing fact that keeps a rule from computing; hover shows it. */
export interface Missing {
  readonly rule: string;
  readonly place: Place;
  /** What to add and where, as a request: "Add the pulley's teeth (axes.x.transmission.teeth) to the machine sheet". */
  readonly question: string;
}

/** The state that a project is compared with: itself at an earlier time, or the project it was made from. */
export interface Base {
  /** In words that fit after "compared with": "revision 3f2a9c1", "the project in ../old". */
  readonly title: string;
  /** True for the same project at another time. */
  readonly sameProject: boolean;
  /** Never changes as long as this base does not. */
  readonly machine: Machine;
}

/** What rules answered about a machine. */
export interface Answers {
  readonly findings: readonly Finding[];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
}

export interface RuleContext {
  readonly machine: Machine;
  /** Absent when there is nothing to compare with: rules about changes then stay silent. */
  readonly base?: Base;
  /** Settings of base and machine side by side; empty without a base. */
  changes(): readonly Change[];
  /**
   * What other rules answer: about this machine, the base's, or another that was derived from it. A rule that is being answered
   * already, this one included, gives no answer.
   */
  answersOf(wanted: (rule: Rule) => boolean, machine?: Machine): Answers;
  report(
    finding: Omit<Finding, 'rule' | 'causes' | 'remedies' | 'caution'> &
      Partial<Pick<Finding, 'causes' | 'remedies' | 'caution'>>,
  ): void;
  agree(agreement: Omit<Agreement, 'rule' | 'causes'> & Partial<Pick<Agreement, 'causes'>>): void;
  /** Passes the fact through; when it is missing, records the question for hover at `about` and returns undefined. */
  need<T>(fact: Fact<T> | undefined, about: Place | Reading, question: string): Fact<T> | undefined;
  /** Fact as a cause; nothing when it has no place in a file. */
  cause(fact: Fact<unknown> | undefined, message?: string): Cause[];
}

/** As much of the context as it takes to look at the machine and to ask for what is missing. */
export type Asking = Pick<RuleContext, 'machine' | 'need'>;

/** Files of an example project, with marks under the lines that get findings (see test/kit/fixture.ts). */
export type Example = string;

export interface Rule {
  /** group/name, equal to the file's path under rules/. */
  readonly id: string;
  readonly title: string;
  /** What it says when it fires, in one sentence. */
  readonly what: string;
  /** Why that matters on the machine. */
  readonly why: string;
  readonly formula: string;
  /** Where formula and threshold come from; "common practice" where no standard stands behind it. */
  readonly source: string;
  /** Severities it can have, the worst first. */
  readonly severity: readonly Severity[];
  readonly caution?: string;
  /** True for rules that only read the text, not the machine. */
  readonly textOnly?: boolean;
  readonly bad: readonly Example[];
  readonly good: readonly Example[];
  /** In steps where it may take long: a newer edit ends the work between two of them. */
  check(context: RuleContext): void | Steps<void>;
  /** Of a rule that asks several questions: `check` then is these one after the other. An edit asks those again that look at what it changes. */
  readonly checks?: readonly Rule['check'][];
  /** The judgement of a rule that judges each reading by itself: `check` then is this for all of them, in their order. */
  judge?(context: RuleContext, reading: Reading): void;
}

type Told = Omit<Rule, 'check' | 'checks' | 'judge'>;
type WithCheck = Told & Pick<Rule, 'check'> & { checks?: undefined; judge?: undefined };
type WithChecks = Told & Required<Pick<Rule, 'checks'>> & { check?: undefined; judge?: undefined };
type WithJudge = Told & Required<Pick<Rule, 'judge'>> & { check?: undefined; checks?: undefined };

export function defineRule(rule: WithCheck | WithChecks | WithJudge): Rule {
  const { checks, judge } = rule;
  if (checks) {
    return {
      ...rule,
      judge: undefined,
      *check(context) {
        for (const check of checks) {
          const steps = check(context);
          if (steps) yield* steps;
        }
      },
    };
  }
  if (!judge) return rule;
  return {
    ...rule,
    check(context) {
      for (const reading of context.machine.settings.all) judge(context, reading);
    },
  };
}
