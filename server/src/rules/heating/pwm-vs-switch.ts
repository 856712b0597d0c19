import type { Output } from '../../board/profile';
import type { Branch } from '../../machine/branch';
import type { Zone } from '../../machine/machine';
import type { ExternalSwitch } from '../../machine/sheet';
import type { Fact, NumberFact } from '../../model/fact';
import { interval, over } from '../../model/interval';
import { contactLife, zeroCrossSteps } from '../../physics/heater';
import type { Reading } from '../../settings/reading';
import { formatNumber, formatQuantity } from '../../units';
import {
  causesOf,
  estimateNote,
  exceeds,
  inWords,
  judgeSteps,
  percent,
  roundedDown,
  setSetting,
} from '../kit';
import { marked } from '../marked';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (kind: string, frequency: string, finding?: string) => {
  const setting = `#define BED_HEATER_PWM_FREQUENCY_HZ ${frequency}`;
  return `
//- settings.h
#define BED_HEATER_PIN P9
${finding ? marked(setting, frequency, finding) : setting}
//- m.machine.json
{
  "name": "M",
  "mainsFrequency": "50 Hz",
  "heaters": {
    "bed": {
      "zone": "bed", "ratedVoltage": "230 V", "ratedPower": "600 W", "voltage": "230 V", "alternating": true,
      "externalSwitch": { "kind": "${kind}", "ratedOperations": 100000 }
    }
  }
}`;
};

/** s, the shortest period of a contact; common practice. */
const RELAY_PERIOD = 10;
/** Half-waves in a period: fewer make coarse steps of power; common practice. */
const COARSE = 20;
const FEW = 5;
/** Share of the period that the delays of a slow switch may take; common practice. */
const DELAYS = 0.05;
/** Hz of a heater behind a zero-crossing switch: 100 steps at 50 Hz. */
const SLOW = 1;

const CAUTION = 'Welded contacts heat without end.';
const MAINS = `${CAUTION} Mains side: licensed electrician.`;

export default defineRule({
  id: 'heating/pwm-vs-switch',
  title: "The heater's switching does not suit what switches it",
  what: 'Compares how often a heater is switched with what its relay, solid-state relay or optocoupler can follow, and the kind of switch with the kind of current.',
  why: 'A relay that clicks ten times a second lives for hours and welds shut; a switch for alternating current never lets go of direct current.',
  formula:
    'relay: period ≥ 10 s, life = rated operations/(3600·f). Zero-crossing: n = 2·f_mains/f steps. Slow switch: f ≤ 0.05/(t_on + t_off).',
  source:
    'IEC 61810-1 (relays), IEC 62314 (solid-state relays). 10 s, 5 and 20 steps, 5 % of the period: common practice.',
  severity: ['error', 'warning', 'info'],
  caution: MAINS,
  bad: [
    example('relay', '10', 'heating/pwm-vs-switch: clicks 36 000 times an hour'),
    example('zeroCross', '50', 'heating/pwm-vs-switch: 2 steps'),
  ],
  good: [example('zeroCross', '1')],
  check(context) {
    for (const zone of context.machine.zones) {
      const branches = context.machine.branches.filter(
        ({ heater, reading }) =>
          (heater && heater.zone?.value === zone.zone) ||
          (!heater && reading && reading === zone.reading('heater.pin')),
      );
      for (const branch of branches) checkZone(context, zone, branch);
    }
  },
});

type Switch = Pick<ExternalSwitch, 'kind' | 'ratedOperations' | 'edgeTime' | 'maxFrequency'> | Output;

interface Case {
  readonly branch: Branch;
  readonly part: Switch;
  readonly kind: Fact<string>;
  readonly reading: Reading;
  readonly frequency: NumberFact;
  readonly zone: Zone;
}

function checkZone(context: RuleContext, zone: Zone, branch: Branch): void {
  const part: Switch | undefined = branch.externalSwitch ?? branch.output;
  const about = zone.reading('heater.pwmFrequency') ?? zone.reading('heater.pin') ?? branch.place;
  if (!about) return;
  const kind =
    part &&
    context.need<string>(
      part.kind,
      about,
      `What switches ${branch.title}? Add its kind (${whereKind(branch)}).`,
    );
  if (!part || !kind) return;
  if (checkCurrentKind(context, branch, kind, about)) return;
  const reading = zone.reading('heater.pwmFrequency');
  const frequency = zone.number('heater.pwmFrequency');
  const onOff = zone.choice('heater.control')?.value === 'onOff';
  // On/off control gives full power or none: what is said of pulses that give a part of it is not used.
  if (onOff) {
    if (kind.value === 'relay') checkOnOff(context, zone, part, kind);
    return;
  }
  // What a plain transistor cannot follow is no matter of its kind.
  if (kind.value === 'transistor' && !part.maxFrequency) return;
  if (kind.value === 'logic') return;
  if (!reading || !frequency) {
    const name =
      context.machine.settings.nameOf(`${zone.id}.heater.pwmFrequency`) ?? `${zone.id}.heater.pwmFrequency`;
    context.need(undefined, about, `Add how often ${branch.title} is switched (${name}) to the settings.`);
    return;
  }
  if (frequency.value.nom <= 0) return;
  judgeKind(context, { branch, part, kind, reading, frequency, zone });
}

const whereKind = ({ externalSwitch, heater, output }: Branch): string =>
  externalSwitch
    ? `"heaters.${heater?.name}.externalSwitch.kind" on the machine sheet`
    : `"outputs.${output?.name}.kind" in the board profile`;

/** Direct current through a switch that opens only when the current is zero, or alternating current through a one-way switch. */
function checkCurrentKind(
  context: RuleContext,
  branch: Branch,
  kind: Fact<string>,
  about: Reading | (Branch['place'] & object),
): boolean {
  const { heater, source } = branch;
  const place = kind.place;
  if (!heater || !place) return false;
  const alternating = heater.alternating?.value === true;
  const direct = !alternating && source === 'supply';
  const wrong = kind.value === 'zeroCross' ? direct : kind.value === 'dcSolidState' && alternating;
  if (!wrong) return false;
  const message =
    kind.value === 'zeroCross'
      ? `A zero-crossing switch opens only when the current passes zero, and direct current never does: ${branch.title} stays on once it is switched on.`
      : `A solid-state relay for direct current conducts one half-wave even when it is off: ${branch.title} is never off on alternating current.`;
  context.report({
    severity: 'error',
    place,
    message,
    causes: causesOf(context, place, [heater.alternating, branch.voltage]),
    remedies: [
      inWords(
        kind.value === 'zeroCross'
          ? 'Fit a switch for direct current (a transistor module or a solid-state relay for direct current)'
          : 'Have a switch for alternating current fitted by a licensed electrician',
      ),
    ],
    concept: 'entry' in about ? about.concept.id : undefined,
    root: place,
  });
  return true;
}

/** On/off control without a period: the shortest time between two clicks counts. */
function checkOnOff(context: RuleContext, zone: Zone, part: Switch, kind: Fact<string>): void {
  const reading = zone.reading('heater.minSwitchTime');
  const least = zone.number('heater.minSwitchTime');
  if (!reading || !least) return;
  const facts = [least, kind];
  if (!exceeds(RELAY_PERIOD, least.value.nom)) {
    const message = `On/off control with at least ${formatQuantity(least.value.nom, 'time')} between clicks.`;
    context.agree({ place: reading.place, message, causes: causesOf(context, reading.place, facts) });
    return;
  }
  const worst =
    least.value.nom > 0 ? lifeText(1 / (2 * least.value.nom), part) : ' Nothing limits how often it clicks.';
  context.report({
    severity: 'warning',
    place: reading.place,
    concept: reading.concept.id,
    message: `A relay should keep each state for ${RELAY_PERIOD} s or more; this allows ${formatQuantity(least.value.nom, 'time')}.${worst}`,
    causes: causesOf(context, reading.place, facts),
    remedies: setSetting(context, reading, { si: RELAY_PERIOD }),
    root: reading.place,
  });
}

function lifeText(frequency: number, part: Switch): string {
  const rated = part.ratedOperations?.value;
  if (!rated) return '';
  return ` Its rated life of ${formatNumber(rated)} operations is gone in ${hoursText(contactLife(rated, frequency))}.`;
}

function hoursText(hours: number): string {
  const digits = 2;
  if (hours < 48) return `${formatNumber(hours, digits)} hours`;
  return hours < 24 * 365
    ? `${formatNumber(hours / 24, digits)} days`
    : `${formatNumber(hours / 24 / 365, digits)} years`;
}

function judgeKind(context: RuleContext, it: Case): void {
  if (it.kind.value === 'relay') judgeRelay(context, it);
  else if (it.kind.value === 'zeroCross') judgeZeroCross(context, it);
  else judgeSlow(context, it);
}

function judgeRelay(context: RuleContext, it: Case): void {
  const { frequency, reading, part } = it;
  const f = frequency.value.nom;
  const facts = [frequency, it.kind, part.ratedOperations];
  const causes = causesOf(context, reading.place, facts);
  if (!exceeds(f, 1 / RELAY_PERIOD)) {
    const message = `The relay clicks every ${formatQuantity(1 / f, 'time')}.${lifeText(f, part)}`;
    context.agree({ place: reading.place, message, causes });
    return;
  }
  say(context, it, {
    severity: 'error',
    message: `At ${formatQuantity(f, 'frequency')} this relay clicks ${formatNumber(3600 * f)} times an hour.${lifeText(f, part)} The contacts may weld shut.`,
    causes,
    remedies: [
      inWords(
        `Use on/off control with at least ${RELAY_PERIOD} s between clicks, or fit a switch without contacts for this kind of current`,
      ),
    ],
  });
}

function judgeZeroCross(context: RuleContext, it: Case): void {
  const { frequency, reading } = it;
  const stated = context.machine.sheet?.mainsFrequency;
  // Mains is 50 or 60 Hz everywhere.
  const mains = stated?.value ?? interval(50, 60, 50);
  const steps = over([mains, frequency.value], zeroCrossSteps);
  const facts = [frequency, it.kind, stated];
  const causes = causesOf(context, reading.place, facts);
  // Fewer steps are worse: judged by the size of a step.
  const size = { lo: 1 / steps.hi, nom: 1 / steps.nom, hi: 1 / steps.lo };
  const verdict = judgeSteps(
    size,
    [
      { above: 1 / FEW, severity: 'warning' },
      { above: 1 / COARSE, severity: 'info' },
    ],
    [frequency, stated],
  );
  const count = formatNumber(steps.nom, 2);
  const figure = `At ${formatQuantity(frequency.value.nom, 'frequency')} a zero-crossing switch has ${count} steps of ${percent(Math.min(1, size.nom), 2)} of the power`;
  if (!verdict || verdict.severity === 'hint') {
    context.agree({ place: reading.place, message: `${figure}.`, causes });
    return;
  }
  const effect =
    verdict.severity === 'info'
      ? "coarse, though the heater's mass evens it out"
      : 'the control cannot set what it computes, and the temperature swings';
  say(context, it, {
    severity: verdict.severity,
    message: `${figure}: ${effect}.${estimateNote([frequency, stated])}`,
    causes,
    remedies: setSetting(context, reading, { si: SLOW }),
  });
}

/** A slow optocoupler, or any switch whose sheet gives a limit. */
function judgeSlow(context: RuleContext, it: Case): void {
  const { part, kind, branch, frequency, reading } = it;
  const { maxFrequency, edgeTime } = part;
  const byDelay = edgeTime && kind.value !== 'transistor' ? DELAYS / edgeTime.value.nom : undefined;
  if (!maxFrequency && byDelay === undefined) {
    context.need(
      undefined,
      reading,
      `Add how long the switch of ${branch.title} takes to go on and off (${whereKind(branch).replace('kind', 'edgeTime')}), or the frequency it follows ("maxFrequency").`,
    );
    return;
  }
  const limit = Math.min(
    maxFrequency?.value.nom ?? Number.POSITIVE_INFINITY,
    byDelay ?? Number.POSITIVE_INFINITY,
  );
  const facts = [frequency, maxFrequency, edgeTime];
  const causes = causesOf(context, reading.place, [...facts, kind]);
  const figure = `${formatQuantity(frequency.value.nom, 'frequency')} on a switch that follows up to ${formatQuantity(limit, 'frequency')}`;
  const verdict = judgeSteps(frequency.value, [{ above: limit, severity: 'warning' }], facts);
  if (!verdict) {
    context.agree({ place: reading.place, message: `${figure}.`, causes });
    return;
  }
  const why =
    byDelay !== undefined && byDelay <= limit && edgeTime
      ? `going on and off takes ${formatQuantity(edgeTime.value.nom, 'time')}, ${percent(edgeTime.value.nom * frequency.value.nom)} of each period, in which it is neither and gets hot`
      : 'it cannot follow, and small powers are lost or doubled';
  say(context, it, {
    severity: verdict.severity,
    message: `${figure}: ${why}.${estimateNote(facts)}`,
    causes,
    remedies: setSetting(context, reading, { si: roundedDown(limit, 1), digits: 3 }),
  });
}

function say(
  context: RuleContext,
  { reading, branch }: Case,
  found: {
    readonly severity: 'error' | 'warning' | 'info' | 'hint';
    readonly message: string;
    readonly causes: ReturnType<typeof causesOf>;
    readonly remedies: readonly Remedy[];
  },
): void {
  const { kind } = (branch.externalSwitch ?? branch.output) as Switch;
  const contacts = kind?.value === 'relay';
  context.report({
    ...found,
    place: reading.place,
    concept: reading.concept.id,
    caution: branch.source === 'mains' ? MAINS : contacts ? CAUTION : undefined,
    root: reading.place,
  });
}
