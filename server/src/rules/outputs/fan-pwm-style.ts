import { outputByName } from '../../board/find';
import type { Output } from '../../board/profile';
import type { FanPart } from '../../machine/machine';
import { standards } from '../../machine/standards';
import { timerOfPin, timerTable } from '../../machine/timers';
import type { Fact, NumberFact } from '../../model/fact';
import { interval, over } from '../../model/interval';
import type { Reading } from '../../settings/reading';
import { formatInterval } from '../../units';
import {
  capitalised,
  causesOf,
  type Extent,
  estimateNote,
  exceeds,
  extentOf,
  hedged,
  inWords,
  judge,
  percent,
  roundedUp,
  setSetting,
} from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const example = (frequency: number, mark = '') => `
//- settings.h
#define FAN_PART_PIN P7
#define FAN_PART_PWM_FREQUENCY_HZ ${frequency}${mark}
//- b.board.json
{ "name": "Example", "outputs": { "OUT3": { "pin": "P8" }, "CTRL": { "pin": "P7", "kind": "logic", "openDrain": true } } }
//- m.machine.json
{ "name": "Example", "fans": { "part": { "role": "fan.part", "output": "OUT3", "controlOutput": "CTRL", "wires": 4 } } }`;

/** Supply chopped slowly, Hz, and smoothed above. Common practice. */
const CHOPPED = interval(8, 300, 120);
const SMOOTHED = 20_000;

export default defineRule({
  id: 'outputs/fan-pwm-style',
  title: 'Fan switched in a way it is not made for',
  what: 'Compares how a fan is switched to run at part speed with the number of its wires.',
  why: 'It runs at full speed, hunts, whines, or does not start.',
  formula:
    'four wires: 21–28 kHz on the control wire, open drain, at most 5.25 V; two or three, chopped in the supply: 8–300 Hz, or above 20 kHz smoothed; lowest duty ≥ V_start/V',
  source: 'the published four-wire PC fan control specification (25 kHz, 21–28 kHz); others: common practice',
  severity: ['warning', 'info', 'hint'],
  bad: [example(250, '\n                                  ^^^ outputs/fan-pwm-style: wants 25 kHz')],
  good: [example(25_000)],
  check(context) {
    for (const fan of context.machine.fans) checkFan(context, fan);
  },
});

function checkFan(context: RuleContext, part: FanPart): void {
  const pin = part.reading('pin');
  const { fan } = part;
  if (!part.pin('pin') || !pin || fan?.alwaysOn?.value) return;
  const frequency = part.number('pwmFrequency');
  const reading = part.reading('pwmFrequency');
  // A fan that is only switched on and off has no frequency, and needs none.
  if (!frequency || !reading) return;
  const wires = context.need(
    fan?.wires,
    reading,
    `2, 3 or 4 wires? Add it for ${part.title} ("fans", with "role": "${part.id}", "wires") to the machine sheet.`,
  );
  if (!wires) return;
  const control = controlOf(context, part, wires.value);
  if (control === 'unknown') {
    context.need<unknown>(
      undefined,
      reading,
      `Which output drives the control wire of ${part.title} ("fans.${fan?.name}.controlOutput")? Add it to the machine sheet; with its control wire open it is a fan of two wires.`,
    );
    return;
  }
  if (control) checkControl(context, part, { reading, frequency, wires, output: control });
  else {
    checkChopped(context, part, { reading, frequency, wires });
    checkDuty(context, part);
    checkTach(context, part, wires);
  }
}

/** The output on the control wire; 'unknown' for four wires of which nobody says where the control wire is. */
function controlOf(
  { machine }: RuleContext,
  { fan, wiredOutput, output }: FanPart,
  wires: number,
): Output | 'unknown' | undefined {
  if (wires !== 4) return undefined;
  if (fan?.controlOutput) {
    return (machine.board && outputByName(machine.board, fan.controlOutput.value)) ?? output ?? 'unknown';
  }
  const own = wiredOutput ?? output;
  return own && (own.kind?.value === 'logic' || own.openDrain?.value) ? own : 'unknown';
}

interface Switched {
  readonly reading: Reading;
  readonly frequency: NumberFact;
  readonly wires: Fact<number>;
  readonly output?: Output;
}

/** Outside a band: at every corner, at some, at none. */
const outside = (value: NumberFact, lo: number, hi: number): Extent =>
  value.value.lo > hi || value.value.hi < lo
    ? 'all'
    : extentOf([value.value], (one) => exceeds(one, hi) || exceeds(lo, one));

function checkControl(context: RuleContext, part: FanPart, switched: Switched): void {
  const { reading, frequency, wires, output } = switched;
  const facts = [frequency, wires, part.fan?.controlOutput];
  const { lo, hi } = standards().fanControl.band.value;
  const verdict = judge(outside(frequency, lo, hi), 'warning', facts);
  const at = formatInterval(frequency.value, 'frequency');
  if (verdict) {
    context.report({
      severity: verdict.severity,
      place: reading.place,
      concept: reading.concept.id,
      root: reading.place,
      message: `A four-wire fan wants 25 kHz on its control wire (21 to 28 kHz); at ${at} ${part.title} ${hedged(verdict, 'may', 'may, on some days,')} run at full speed or hunt.${estimateNote(facts)}`,
      causes: causesOf(context, reading.place, facts),
      remedies: rightFrequency(context, part, reading),
    });
  }
  const level = controlLevel(context, output);
  if (level) {
    context.report({
      severity: level.severity,
      place: part.reading('pin')?.place ?? reading.place,
      concept: part.reading('pin')?.concept.id,
      message: level.message,
      causes: causesOf(context, reading.place, [output?.openDrain, output?.voltage]),
      remedies: [inWords('Drive the control wire with a small transistor to 0 V: its pull-up is in the fan')],
    });
  }
  if (!verdict && !level)
    context.agree({
      place: reading.place,
      message: `${at} on the control wire, within the 21 to 28 kHz that a four-wire fan takes`,
      causes: causesOf(context, reading.place, facts),
    });
}

function controlLevel(
  { machine }: RuleContext,
  output: Output | undefined,
): { severity: Severity; message: string } | undefined {
  if (output?.openDrain?.value !== false) return undefined;
  const volts = output.voltage ?? (output.kind?.value === 'logic' ? machine.logicVoltage : undefined);
  const high = volts && exceeds(volts.value.nom, standards().fanControl.voltageMax.value.nom);
  return {
    severity: high ? 'warning' : 'info',
    message: high
      ? `${output.name} drives the control wire with ${formatInterval(volts.value, 'voltage')}; four-wire fans stand 5.25 V on it.`
      : `${output.name} drives the control wire high as well; the fan pulls it up to 5 V by itself and asks for an open drain. It mostly works.`,
  };
}

/** As an edit only where the pin has a timer that nothing else is known to need. */
function rightFrequency(context: RuleContext, part: FanPart, reading: Reading): Remedy[] {
  const { machine } = context;
  const use = machine.pinUses.find((one) => one.reading.concept.id === `${part.id}.pin`);
  const timer = use && timerOfPin(machine, use);
  const software = part.choice('pwmSource')?.value === 'software';
  const same = (name: string): boolean => name.toUpperCase() === timer?.value.trim().toUpperCase();
  const table = timerTable(machine);
  const shared =
    table.rows.some((row) => same(row.timer) && row.users.some((user) => user.use !== use)) ||
    table.unstated.some((other) => {
      const theirs = timerOfPin(machine, other);
      return other !== use && theirs !== undefined && same(theirs.value);
    });
  if (timer && !software && !shared)
    return setSetting(context, reading, { si: standards().fanControl.best.value.nom });
  return [
    inWords(
      'Let a timer of its own make 25 kHz for it, on a pin that has one, or leave its control wire open',
    ),
  ];
}

function checkChopped(context: RuleContext, part: FanPart, switched: Switched): void {
  const { reading, frequency, wires } = switched;
  const smoothed = part.fan?.smoothed?.value === true;
  const facts = [frequency, wires, part.fan?.smoothed];
  const slow = outside(frequency, CHOPPED.lo, CHOPPED.hi);
  const extent = smoothed
    ? worse(
        extentOf([frequency.value], (f) => exceeds(SMOOTHED, f)),
        slow,
      )
    : slow;
  const verdict = judge(extent, 'info', facts);
  const at = formatInterval(frequency.value, 'frequency');
  const causes = causesOf(context, reading.place, facts);
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `${at} suits a fan of ${wires.value} wires ${smoothed && slow !== 'none' ? 'behind a filter' : 'that is chopped in its supply'}`,
      causes,
    });
    return;
  }
  const may =
    frequency.value.hi < CHOPPED.lo
      ? 'may run in jerks'
      : smoothed
        ? 'may whine: its filter smooths from about 20 kHz on'
        : 'may whine or run unevenly';
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `${capitalised(part.title)} has ${wires.value} wires and is chopped in its supply at ${at}: it ${may}. 8 to 300 Hz suits most${smoothed ? '' : ', or more than 20 kHz behind a filter'}.${estimateNote(facts)}`,
    causes,
    remedies:
      frequency.value.lo > CHOPPED.hi
        ? [inWords(`Set ${reading.entry.name} to between 8 and 300 Hz and listen`)]
        : [],
  });
}

/** Good in both ways of switching it is needed for a filtered fan to be called wrong. */
const worse = (one: Extent, other: Extent): Extent =>
  one === 'none' || other === 'none' ? 'none' : one === 'all' && other === 'all' ? 'all' : 'some';

/** Below its start voltage a fan only hums; a start at full power gets it over that. */
function checkDuty(context: RuleContext, part: FanPart): void {
  const { fan, wiredOutput, output } = part;
  const reading = part.reading('minDuty');
  const duty = part.number('minDuty');
  const supply = fan?.supply ?? (wiredOutput ?? output)?.voltage ?? context.machine.supplyVoltage;
  if (!reading || !duty || !supply) return;
  const starts = context.need(
    fan?.startVoltage,
    reading,
    `At which voltage does ${part.title} start to turn ("fans.${fan?.name}.startVoltage")? Add it to the machine sheet and I can check the lowest duty.`,
  );
  if (!starts) return;
  const facts = [duty, starts, supply];
  const least = over([starts.value, supply.value], (volts, all) => volts / all);
  const kicked = part.number('startTime');
  const verdict = judge(
    extentOf([duty.value, starts.value, supply.value], (share, volts, all) => exceeds(volts / all, share)),
    'info',
    facts,
  );
  const causes = causesOf(context, reading.place, facts);
  const needs = percent(roundedUp(least.nom, 2), 2);
  if (!verdict || (kicked && kicked.value.lo > 0)) {
    context.agree({
      place: reading.place,
      message: verdict
        ? `It starts from ${needs} on; full power for ${formatInterval((kicked as NumberFact).value, 'time')} gets it going`
        : `It starts from ${needs} on`,
      causes,
    });
    return;
  }
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `${capitalised(part.title)} starts at ${formatInterval(starts.value, 'voltage')} of ${formatInterval(supply.value, 'voltage')}, ${needs} duty; at ${percent(duty.value.nom, 3)} it ${hedged(verdict, 'will', 'may')} only hum.${estimateNote(facts)}`,
    causes,
    remedies: least.hi <= 1 ? setSetting(context, reading, { si: roundedUp(least.hi, 2) }) : [],
  });
}

/** Without supply between the pulses the speed signal is none. */
function checkTach(context: RuleContext, part: FanPart, wires: Fact<number>): void {
  const reading = part.reading('tachPin');
  if (!reading || !part.pin('tachPin') || wires.value !== 3) return;
  context.report({
    severity: 'info',
    place: reading.place,
    concept: reading.concept.id,
    message: `The speed signal of ${part.title} comes from a fan that is chopped in its supply: between the pulses it says nothing. Trust it at full power only.`,
    causes: causesOf(context, reading.place, [wires]),
    remedies: [],
  });
}
