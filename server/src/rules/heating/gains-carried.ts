import { type HeatBody, heatBody, isHeated } from '../../machine/heatBody';
import type { Machine, Zone } from '../../machine/machine';
import { derive, type NumberFact } from '../../model/fact';
import { over } from '../../model/interval';
import type { Reading } from '../../settings/reading';
import { formatNumber } from '../../units';
import { watts } from '../heat';
import { causesOf, estimateNote, extentOf, inWords, judge, nameOf, remedy, rounded } from '../kit';
import { defineRule, type Finding, type Remedy, type RuleContext } from '../rule';

const gains = `#define TOOL_0_HEATER_CONTROL PID
#define TOOL_0_HEATER_KP 20
#define TOOL_0_HEATER_KI 1.5
#define TOOL_0_HEATER_KD 66`;
const sheet = (file: string, power: number) => `//- ${file}.machine.json
{
  "name": "Example", "supply": { "voltage": "24 V" },
  "heaters": { "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "${power} W" } }
}`;

/** Changes of the loop's gain that a tuned loop bears; common practice. */
const LEAST = 0.8;
const MOST = 1.25;

export default defineRule({
  id: 'heating/gains-carried',
  title: 'Gains of another heater',
  what: 'The control gains of a heater are those of another power than the heater makes now.',
  why: 'The loop reacts too strongly or too weakly: overshoot and swinging, and guards that trip in healthy jobs.',
  formula:
    "the loop's gain is gain · P, P = V²/R; with the same gains it changes by q = P_new/P_old; q within 0.8 and 1.25",
  source:
    'Lumped heat balance, proportional gain of a loop: control handbooks; 0.8 to 1.25: common practice. A heat model reckons with the power it is told, and that one is compared',
  severity: ['error', 'warning', 'info'],
  bad: [
    `${gains.replace('KP 20', 'KP 20\n                         ^^ heating/gains-carried: tuned with 40 W; the heater now makes 60 W.')}
${sheet('new', 60)}
${sheet('base/old', 40)}`,
  ],
  good: [`${gains}\n${sheet('new', 45)}\n${sheet('base/old', 40)}`],
  check(context) {
    for (const zone of context.machine.zones.filter(isHeated)) checkZone(context, zone);
  },
});

const GAINS = ['kp', 'ki', 'kd'] as const;

function checkZone(context: RuleContext, zone: Zone): void {
  const control = zone.choice('heater.control')?.value;
  if (control === 'onOff') return;
  if (control === 'model') {
    checkModel(context, zone);
    return;
  }
  const kp = zone.reading('heater.kp');
  const set = zone.number('heater.kp');
  if (!kp || !set || set.value.nom === 0) return;
  const carried = isCarried(context, zone);
  const now = powerOf(heatBody(context.machine, zone));
  const { tunedPower, changedSinceTuning } = zone.heater ?? {};
  const before = carried ? basePower(context, zone) : undefined;
  const old = tunedPower ?? before;
  if (changedSinceTuning?.value) {
    context.report({
      severity: 'info',
      place: kp.place,
      message: `Block, sock or fan of ${zone.title} changed since these gains were tuned (${changedSinceTuning.label}). Tune again.`,
      concept: kp.concept.id,
      causes: causesOf(context, kp.place, [changedSinceTuning]),
      remedies: [inWords('Tune again, then take the note off the machine sheet')],
    });
  }
  if (!old) {
    context.need(
      undefined,
      kp,
      `Were these gains tuned with this heater and supply? Add the power of that time ("heaters.${zone.heater?.name ?? zone.zone}.tunedPower") to the machine sheet and I can tell`,
    );
    return;
  }
  if (now) compare(context, zone, kp, old, now);
}

/** True when all gains are as they were in the state before. */
function isCarried(context: RuleContext, zone: Zone): boolean {
  if (!context.base) return false;
  const ids = GAINS.map((gain) => `${zone.id}.heater.${gain}`);
  const changes = context.changes().filter(({ id }) => ids.includes(id));
  return changes.length > 0 && changes.every(({ kind }) => kind === 'same');
}

function basePower({ base }: RuleContext, zone: Zone): NumberFact | undefined {
  const then = base?.machine.zones.find(({ id }) => id === zone.id);
  if (!base || !then) return undefined;
  const tuned = then.heater?.tunedPower;
  return tuned ?? powerOf(heatBody(base.machine as Machine, then));
}

/** W at the nominal supply, over the heater's own tolerance. */
function powerOf(body: HeatBody): NumberFact | undefined {
  const [first] = body.powerFacts;
  if (!body.full || !first) return undefined;
  const estimated = body.powerFacts.some(({ quality }) => quality === 'estimated');
  return {
    ...derive(first, body.full.nominal, 'heater power'),
    quality: estimated ? 'estimated' : first.quality,
  };
}

function compare(context: RuleContext, zone: Zone, kp: Reading, old: NumberFact, now: NumberFact): void {
  const ratio = over([now.value, old.value], (one, other) => one / other);
  const facts = [old, now, ...heatBody(context.machine, zone).powerFacts];
  const extent = extentOf([ratio], (q) => q < LEAST || q > MOST);
  // The ends of a wide range may lie on either side of the band: some corner then is surely right.
  const straddles = ratio.lo < LEAST && ratio.hi > MOST;
  const broken = guardsThatFail(context, zone);
  const verdict = judge(straddles ? 'some' : extent, broken ? 'error' : 'warning', facts);
  const causes = causesOf(context, kp.place, facts);
  const [then, power] = [watts(old.value.nom), watts(now.value.nom)];
  const q = ratio.nom;
  if (!verdict) {
    context.agree({ place: kp.place, message: `Tuned with ${then}; the heater makes ${power}`, causes });
    return;
  }
  const expect =
    q > 1
      ? `Expect ${formatNumber(q, 3)} times the reaction: overshoot and swinging, and guards that trip`
      : `Expect ${formatNumber(q, 3)} times the reaction: slow heating that sags, and guards that trip`;
  context.report({
    severity: verdict.severity,
    place: kp.place,
    message: `These gains were tuned with ${then}; the heater now ${verdict.certain ? 'makes' : 'may make'} ${power}. ${expect}.${broken ? ` ${broken.rule} fails as well.` : ''}${estimateNote(facts)}`,
    concept: kp.concept.id,
    root: kp.place,
    causes,
    remedies: scaled(context, zone, q, now),
  });
}

const GUARD_RULES = ['guards/hold-window', 'guards/rise-too-slow'];

const guardsThatFail = (context: RuleContext, zone: Zone): Finding | undefined =>
  context
    .answersOf(({ id }) => GUARD_RULES.includes(id))
    .findings.find(
      ({ severity, concept }) => severity === 'error' && concept?.startsWith(`${zone.guard.id}.`),
    );

/** All gains divided by the ratio: the loop then has its old gain. A start, not a tuning. */
function scaled(context: RuleContext, zone: Zone, q: number, now: NumberFact): Remedy[] {
  const { settings } = context.machine;
  const readings = GAINS.flatMap((gain) => zone.reading(`heater.${gain}`) ?? []);
  const edits = readings.flatMap((reading) =>
    reading.value.kind === 'number'
      ? (settings.edit(reading, { si: rounded(reading.value.si / q, 4) }) ?? [])
      : [],
  );
  const again = inWords('Tune again, and note that on the commissioning sheet');
  const by =
    q >= 1 ? `Divide the gains by ${formatNumber(q, 3)}` : `Multiply the gains by ${formatNumber(1 / q, 3)}`;
  const start = `${by} as a start, then tune again`;
  if (edits.length !== readings.length) return [inWords(start), again];
  const tuned = zone.heater?.tunedPower?.place;
  const note = tuned ? [{ place: tuned, newText: JSON.stringify(`${rounded(now.value.nom, 4)} W`) }] : [];
  return [remedy(tuned ? `${start}; the sheet notes the new power` : start, [...edits, ...note]), again];
}

/** A heat model multiplies by the power it is told. */
function checkModel(context: RuleContext, zone: Zone): void {
  const reading = zone.reading('heater.power');
  const told = zone.number('heater.power');
  if (!reading || !told || !(told.value.nom > 0)) return;
  const body = heatBody(context.machine, zone);
  const now = context.need(
    powerOf(body),
    reading,
    `Add the heater of ${zone.title} with its rating, and the supply, to the machine sheet and I can check the power that the heat model counts on`,
  );
  if (!now) return;
  const ratio = over([now.value, told.value], (one, other) => one / other);
  const facts = [told, now, ...body.powerFacts];
  const verdict = judge(
    ratio.lo < LEAST && ratio.hi > MOST ? 'some' : extentOf([ratio], (q) => q < LEAST || q > MOST),
    'warning',
    facts,
  );
  const causes = causesOf(context, reading.place, facts);
  if (!verdict) {
    context.agree({ place: reading.place, message: `The heater makes ${watts(now.value.nom)}`, causes });
    return;
  }
  const edit = context.machine.settings.edit(reading, { si: rounded(now.value.nom, 3) });
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `The heat model counts on ${watts(told.value.nom)}; the heater ${verdict.certain ? 'makes' : 'may make'} ${watts(now.value.nom)}, ${formatNumber(ratio.nom, 3)} times as much.${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: edit ? [remedy(`Set ${nameOf(reading)} to ${watts(now.value.nom)}`, [edit])] : [],
  });
}
