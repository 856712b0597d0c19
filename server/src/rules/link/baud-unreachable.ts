import type { BoardProfile, Uart, UartGenerator } from '../../board/profile';
import type { Link } from '../../machine/machine';
import { standards } from '../../machine/standards';
import type { Fact, NumberFact } from '../../model/fact';
import { type Interval, over, point } from '../../model/interval';
import { relativeError } from '../../physics/uart';
import { formatQuantity } from '../../units';
import { makeRate, STANDARD_RATES, samplesOf } from '../baudRates';
import { causesOf, estimateNote, hedged, inWords, judgeSteps, listed, percent, remedy } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

export default defineRule({
  id: 'link/baud-unreachable',
  title: 'Baud rate that the board cannot make',
  what: "The board's clock divided by whole numbers comes too far from the baud rate that is set.",
  why: 'Each bit is sampled beside its middle: the port looks dead, or prints garbage on some days.',
  formula:
    'whole: N = round(f/(k·B)), B_act = f/(k·N); single: N = round(f/B), N ≥ 16; E = |B_act/B_other − 1| + both clock tolerances',
  source:
    'receiver tolerance tables of 8-bit microcontroller data sheets (8 data bits, no parity): ±4.5 % in all at 16 samples a bit, ±3.9 % at 8, one end’s share ±2.0 % and ±1.5 %; the warning at two thirds: common practice',
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [
    `
    #define LINK_HOST_PORT 0
    #define LINK_HOST_BAUD 230400
                           ^^^^^^ link/baud-unreachable: 8.5 % too fast
    //- a.board.json
    {
      "name": "Example board",
      "chip": "atmega1284p",
      "crystal": "16 MHz",
      "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }]
    }
    `,
  ],
  good: [
    `
    #define LINK_HOST_PORT 0
    #define LINK_HOST_BAUD 250000
    //- a.board.json
    {
      "name": "Example board",
      "chip": "atmega1284p",
      "crystal": "16 MHz",
      "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }]
    }
    `,
  ],
  check(context) {
    for (const link of context.machine.links) checkLink(context, link);
  },
});

/** Default clock tolerances: crystal and ceramic resonator, usual data-sheet values. */
const CRYSTAL = 0.0001;
const RESONATOR = 0.005;

/** A rate is proposed when it comes this close. */
const CLOSE = 0.01;

/** Limits of the total error, and the share of one end. */
function limitsOf(samples: number): { total: number; twoThirds: number; share: number } {
  const { receiver16, receiver8 } = standards();
  const { total, twoThirds, share } = samples >= 16 ? receiver16 : receiver8;
  return { total: total.value.nom, twoThirds: twoThirds.value.nom, share: share.value.nom };
}

function checkLink(context: RuleContext, link: Link): void {
  const { board } = context.machine;
  const reading = link.reading('baud');
  const baud = link.number('baud');
  if (!reading || !baud) return;
  if (!board) {
    context.need(
      undefined,
      reading,
      'Add a board profile (board in fettle.json) and I can check whether the board can make this rate',
    );
    return;
  }
  const uart = link.uart ?? (link.number('port') || board.uarts.length !== 1 ? undefined : board.uarts[0]);
  if (!uart) {
    context.need(
      undefined,
      reading,
      `Add the serial port of this link (uarts) to the board profile and its number (${link.id}.port) to the settings and I can check whether the board can make this rate`,
    );
    return;
  }
  if (uart.kind?.value === 'nativeUsb') {
    context.agree({
      place: reading.place,
      message: 'This port is native USB: the baud rate is not used on the wire.',
      causes: context.cause(uart.kind),
    });
    return;
  }
  const clock = context.need(
    uart.clock ?? board.uartClock,
    reading,
    'Add the clock of the serial ports (uartClock) to the board profile and I can check whether the board can make this rate',
  );
  const generator = board.chip?.uart;
  if (!generator) {
    context.need(
      undefined,
      reading,
      'Add the chip, or its baud generator (chipFacts.uart), to the board profile and I can check whether the board can make this rate',
    );
    return;
  }
  if (clock) judgeLink(context, link, { baud, clock, uart, generator, board });
}

interface Facts {
  readonly baud: NumberFact;
  readonly clock: NumberFact;
  readonly uart: Uart;
  readonly generator: UartGenerator;
  readonly board: BoardProfile;
}

function judgeLink(context: RuleContext, link: Link, facts: Facts): void {
  const reading = link.reading('baud');
  if (!reading) return;
  const { baud, clock, uart, generator, board } = facts;
  const modes = samplesOf(uart, generator);
  const made = modes.flatMap((samples) => makeRate(generator, samples, clock.value, baud.value.nom) ?? []);
  const used: (Fact<unknown> | undefined)[] = [baud, clock, uart.oversampling, uart.bridge?.clock];
  const at = { place: reading.place, concept: reading.concept.id, root: reading.place };
  const asked = formatQuantity(baud.value.nom, 'dataRate')
    .replace(/\u00a0?Bd$/, 'baud')
    .replace(/ Bd$/, ' baud');
  const from = formatQuantity(clock.value.nom, 'frequency');
  const remedies = proposals(context, link, facts, modes);
  if (made.length === 0) {
    context.report({
      ...at,
      severity: 'error',
      message: `The board cannot make ${asked} from ${from}: the divisor does not fit its register (${generator.minDivisor} to ${generator.maxDivisor}).`,
      causes: causesOf(context, reading.place, used),
      remedies,
    });
    return;
  }
  const other = otherEnd(uart, baud.value.nom);
  const tolerance = clockTolerance(board) + otherTolerance(link, uart);
  // With a choice of samples a bit that nobody stated, the better one counts.
  const results = made.map((one) => {
    const error = over([one.actual], (rate) => relativeError(rate, other.rate));
    const size = over([error], (e) => Math.abs(e) + tolerance);
    const limits = limitsOf(one.samples);
    const verdict = judgeSteps(
      size,
      [
        { above: limits.total, severity: 'error' },
        { above: limits.twoThirds, severity: 'warning' },
        ...(other.known ? [] : [{ above: limits.share, severity: 'info' } as const]),
      ],
      used,
    );
    return { one, error: error.nom, size: size.nom, limits, verdict };
  });
  const best = results.sort((a, b) => a.size / a.limits.total - b.size / b.limits.total)[0];
  if (!best) return;
  const sends = formatQuantity(best.one.actual.nom, 'dataRate');
  if (!best.verdict) {
    context.agree({
      place: reading.place,
      message: `${sends} from ${from}, ${percent(Math.abs(best.error), 2)} off (divisor ${best.one.divider}, ${best.one.samples} samples a bit)`,
      causes: causesOf(context, reading.place, used),
    });
    return;
  }
  const pace = `${percent(Math.abs(best.error), 2)} too ${best.error > 0 ? 'fast' : 'slow'}`;
  const than = other.known ? ' for the other end' : '';
  const lead = `The board cannot make ${asked} from ${from}. It would really send at ${sends}, ${pace}${than}.`;
  const bears = percent(best.limits.total, 2);
  const end =
    best.verdict.step.above === best.limits.total
      ? ` The port ${hedged(best.verdict, 'will', 'may')} look dead or print garbage.`
      : best.verdict.step.above === best.limits.twoThirds
        ? ` With the clock tolerances that is more than two thirds of the ${bears} a receiver bears: it ${hedged(best.verdict, 'works', 'may work')} on some days only.`
        : ` That is more than one end's share of the ${bears} a receiver bears: it ${hedged(best.verdict, 'depends', 'may depend')} on the true rate of the other end (uarts[].bridge in the board profile).`;
  context.report({
    ...at,
    severity: best.verdict.severity,
    message: `${lead}${end}${estimateNote(used)}`,
    causes: causesOf(context, reading.place, used),
    remedies,
  });
}

/** True rate of the other end: a bridge's own divider, or a rate its data sheet lists; else the rate as asked for. */
function otherEnd({ bridge }: Uart, baud: number): { rate: number; known: boolean } {
  if (bridge?.generator && bridge.clock) {
    const [samples] = bridge.generator.oversampling;
    const made = samples ? makeRate(bridge.generator, samples, bridge.clock.value, baud) : undefined;
    if (made) return { rate: made.actual.nom, known: true };
  }
  return { rate: baud, known: bridge?.rates.some(({ value }) => same(value.nom, baud)) ?? false };
}

const same = (left: number, right: number): boolean => Math.abs(left / right - 1) < 1e-6;

const clockTolerance = ({ clockTolerance: stated, clockSource }: BoardProfile): number =>
  stated ? largest(stated.value) : clockSource?.value === 'resonator' ? RESONATOR : CRYSTAL;

const otherTolerance = (link: Link, { bridge }: Uart): number => {
  const stated = bridge?.clockTolerance ?? link.sheet?.clockTolerance;
  return stated ? largest(stated.value) : CRYSTAL;
};

const largest = ({ lo, hi }: Interval): number => Math.max(Math.abs(lo), Math.abs(hi));

/** Rates that both ends can make. Firmware and computer change together, so both files are edited where both state the rate. */
function proposals(context: RuleContext, link: Link, facts: Facts, modes: readonly number[]): Remedy[] {
  const reading = link.reading('baud');
  const { baud, clock, generator, uart } = facts;
  if (!reading) return [];
  const good = STANDARD_RATES.flatMap((rate) => {
    const errors = modes.map((samples) => {
      const made = makeRate(generator, samples, point(clock.value.nom), rate);
      return made ? Math.abs(relativeError(made.actual.nom, rate)) : Number.POSITIVE_INFINITY;
    });
    const error = Math.max(...errors);
    return error <= CLOSE && !same(rate, baud.value.nom) ? [{ rate, error }] : [];
  }).sort(
    (a, b) => Math.abs(Math.log(a.rate / baud.value.nom)) - Math.abs(Math.log(b.rate / baud.value.nom)),
  );
  const rates = uart.bridge?.rates ?? [];
  if (rates.length === 0) {
    const names = good
      .slice(0, 4)
      .map(({ rate, error }) => `${formatQuantity(rate, 'dataRate')} (${percent(error, 2)} off)`);
    return names.length > 0
      ? [inWords(`Set both ends to a rate that both can make: ${listed(names, 'or')}`)]
      : [];
  }
  return good
    .filter(({ rate }) => rates.some(({ value }) => same(value.nom, rate)))
    .slice(0, 3)
    .flatMap(({ rate, error }) => {
      const edit = context.machine.settings.edit(reading, { si: rate });
      if (!edit) return [];
      const sheet = link.sheet?.baud?.place;
      const edits = sheet ? [edit, { place: sheet, newText: JSON.stringify(`${rate} Bd`) }] : [edit];
      const where = sheet ? 'settings and machine sheet' : 'the settings, and your computer by hand';
      return [
        remedy(`Set ${where} to ${formatQuantity(rate, 'dataRate')} (${percent(error, 2)} off)`, edits),
      ];
    });
}
