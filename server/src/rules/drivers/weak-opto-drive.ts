import type { DriverSocket, OptoInput } from '../../board/profile';
import type { Axis, Machine } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { type Interval, interval, over } from '../../model/interval';
import { optoCurrent } from '../../physics/opto';
import { formatInterval, formatQuantity } from '../../units';
import { aboutDriver, withoutGaps } from '../currents';
import { causesOf, type Extent, estimateNote, exceeds, hedged, inWords, judge, type Verdict } from '../kit';
import { defineRule, type RuleContext, type Severity, severities } from '../rule';

const example = (more: string, mark = '') => `
//- settings.h
#define AXIS_X_STEP_PIN PC0${mark}
//- a.board.json
{
  "name": "Example board", "logicVoltage": "3.3 V",
  "chipFacts": { "outputResistance": "25 Ω", "outputCurrentMax": "20 mA" },
  "drivers": {
    "X": {
      "stepPin": "PC0",${more}
      "input": { "resistance": "330 Ω", "forwardVoltage": "1.2 V", "leastCurrent": "8 mA", "common": "0 V" }
    }
  }
}`;

export default defineRule({
  id: 'drivers/weak-opto-drive',
  title: 'Too little current for the input of an external driver',
  what: "Computes the current through an external driver's optocoupler and compares it with what the input asks for and the pin may give.",
  why: 'A lamp that is too dim loses steps when it is warm or fast.',
  formula:
    'on: I = (V_drive − V_f)/(R_in + R_out); wired to a common + of V_c, a pin that drives V_logic leaves (V_c − V_logic − V_f)/(R_in + R_out) while off',
  source:
    "Ohm's law; least current and forward voltage by the driver's and the optocoupler's data sheets; half of the least current and 0.5 mA while off: common practice",
  severity: ['error', 'warning', 'info'],
  bad: [example('', '\n                        ^^^ drivers/weak-opto-drive: 5.92 mA, it asks for 8 mA')],
  good: [example('\n      "signalVoltage": "5 V",')],
  check(context) {
    const seen = new Set<OptoInput>();
    for (const axis of context.machine.axes) {
      for (const socket of axis.drivers) {
        if (!socket.input || seen.has(socket.input)) continue;
        seen.add(socket.input);
        checkInput(context, axis, socket, socket.input);
      }
    }
  },
});

/** A that a lamp may carry while it is off. Common practice. */
const OFF = 0.5e-3;
/** Ω of a pin or buffer whose data say nothing. Common practice: 20 to 50 Ω. */
const UNKNOWN_OUTPUT: NumberFact = {
  value: interval(10, 50, 25),
  quality: 'assumed',
  label: 'output resistance, taken as 10 to 50 Ω',
};

function checkInput(context: RuleContext, axis: Axis, socket: DriverSocket, input: OptoInput): void {
  const { machine } = context;
  const reading = aboutDriver(axis, 'stepPin');
  if (!reading) return;
  const at = `drivers.${socket.name}.input`;
  const need = <T>(fact: Fact<T> | undefined, what: string) =>
    context.need(
      fact,
      reading,
      `Add ${what} to the machine sheet or the board profile and I can check the current into this driver's inputs`,
    );
  const common = need(input.common, `which side of the inputs is joined (${at}.common)`);
  const resistance = common && need(input.resistance, `the resistor inside the inputs (${at}.resistance)`);
  const forward =
    resistance && need(input.forwardVoltage, `the forward voltage of the optocoupler (${at}.forwardVoltage)`);
  const least =
    forward && need(input.leastCurrent, `the signal current that its sheet asks for (${at}.leastCurrent)`);
  const driven =
    least && need(socket.signalVoltage ?? machine.logicVoltage, 'the logic voltage (logicVoltage)');
  if (!common || !resistance || !forward || !least || !driven) return;
  const toPlus = common.value === '+';
  const source = toPlus
    ? need(input.commonVoltage, `the voltage of the common + (${at}.commonVoltage)`)
    : driven;
  if (!source) return;
  const output = outputResistance(machine, socket, input);
  const facts = withoutGaps<unknown>([source, forward, resistance, output, least, common]);
  const current = over([source.value, forward.value, resistance.value, output.value], optoCurrent);
  const remains = toPlus
    ? over(
        [source.value, driven.value, forward.value, resistance.value, output.value],
        (plus, high, lamp, inside, outside) => optoCurrent(plus - high, lamp, inside, outside),
      )
    : undefined;
  const pinMost = socket.signalVoltage ? undefined : machine.board?.chip?.outputCurrentMax;
  const findings = [
    weak(current, least, facts),
    strong(current, pinMost, facts),
    remains && leaks(remains, source, driven, [...facts, driven]),
  ].filter((finding) => finding !== undefined);
  const [worst] = findings.sort(
    (a, b) => severities.indexOf(a.verdict.severity) - severities.indexOf(b.verdict.severity),
  );
  const causes = causesOf(context, reading.place, [...facts, driven, pinMost]);
  const from = socket.signalVoltage ? `The ${volts(driven)} buffer` : `A ${volts(driven)} pin`;
  if (!worst) {
    context.agree({
      place: reading.place,
      message: `${formatInterval(current, 'current')} through the input, it asks for ${formatInterval(least.value, 'current')}`,
      causes,
    });
    return;
  }
  context.report({
    severity: worst.verdict.severity,
    place: reading.place,
    message: `${worst.text(from)}${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: input.place,
    causes,
    // Not by edit of the sheet: the finding would be gone before the part is there.
    remedies: [inWords(worst.remedy)],
  });
}

const volts = ({ value }: NumberFact): string => formatQuantity(value.nom, 'voltage');

function outputResistance(machine: Machine, socket: DriverSocket, input: OptoInput): NumberFact {
  const own = input.outputResistance ?? socket.signalResistance;
  const pin = socket.signalVoltage ? undefined : machine.board?.chip?.outputResistance;
  return own ?? pin ?? UNKNOWN_OUTPUT;
}

interface Said {
  readonly verdict: Verdict;
  readonly remedy: string;
  text(from: string): string;
}

const BUFFER =
  'Fit a 5 V buffer or level shifter between board and driver, then note it on the machine sheet ("signalVoltage")';

/** Less than the input asks for; less than half of it is no signal at all. */
function weak(current: Interval, least: NumberFact, facts: readonly Fact<unknown>[]): Said | undefined {
  const share = over([current, least.value], (amperes, asked) => amperes / asked);
  const verdict = worse(judge(below(share, 0.5), 'error', facts), judge(below(share, 1), 'warning', facts));
  return (
    verdict && {
      verdict,
      remedy: BUFFER,
      text: (from) =>
        `${from} gives this driver's inputs ${formatInterval(current, 'current')}, it asks for ${formatInterval(least.value, 'current')}. Steps ${hedged(verdict, 'get', 'may get')} lost when it is warm or fast.`,
    }
  );
}

/** More than a pin may give or take. */
function strong(
  current: Interval,
  most: NumberFact | undefined,
  facts: readonly Fact<unknown>[],
): Said | undefined {
  if (!most) return undefined;
  const share = over([current, most.value], (amperes, limit) => amperes / limit);
  const verdict = judge(exceeds(share.lo, 1) ? 'all' : exceeds(share.hi, 1) ? 'some' : 'none', 'error', [
    ...facts,
    most,
  ]);
  return (
    verdict && {
      verdict,
      remedy: 'Fit a buffer between board and driver, then note it on the machine sheet ("signalVoltage")',
      text: (from) =>
        `${from} ${hedged(verdict, 'has', 'may have')} to carry ${formatInterval(current, 'current')} for this driver's inputs, it is made for ${formatInterval(most.value, 'current')}.`,
    }
  );
}

/** What still flows while a pin of a lower voltage is high. */
function leaks(
  current: Interval,
  plus: NumberFact,
  high: NumberFact,
  facts: readonly Fact<unknown>[],
): Said | undefined {
  const verdict = judge(current.lo > OFF ? 'all' : current.hi > OFF ? 'some' : 'none', 'warning', facts);
  return (
    verdict && {
      verdict,
      remedy: BUFFER,
      text: () =>
        `The inputs are wired to a common + of ${volts(plus)}, and a pin that drives ${volts(high)} leaves ${formatInterval(current, 'current')} through the lamp while it is off: the driver ${hedged(verdict, 'does', 'may')} not always see it go out.`,
    }
  );
}

const below = (share: Interval, limit: number): Extent =>
  exceeds(limit, share.hi) ? 'all' : exceeds(limit, share.lo) ? 'some' : 'none';

function worse(...verdicts: readonly (Verdict | undefined)[]): Verdict | undefined {
  const rank = (severity: Severity): number => severities.indexOf(severity);
  return verdicts
    .filter((verdict) => verdict !== undefined)
    .sort((a, b) => rank(a.severity) - rank(b.severity) || Number(b.certain) - Number(a.certain))[0];
}
