import type { Link } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { point } from '../../model/interval';
import { relativeError } from '../../physics/uart';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { makeRate, STANDARD_RATES, samplesOf } from '../baudRates';
import { causesOf, estimateNote, hedged, inWords, judgeSteps, listed, percent, remedy } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { isLinkFacts, type LinkFacts, linkFacts, linkRate, sameRate } from './linkRate';

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

/** A rate is proposed when it comes this close. */
const CLOSE = 0.01;

function checkLink(context: RuleContext, link: Link): void {
  const reading = link.reading('baud');
  const baud = link.number('baud');
  if (!reading || !baud) return;
  const facts = linkFacts(context, link);
  if (!facts) return;
  if (isLinkFacts(facts)) judgeLink(context, reading, baud, facts);
  else
    context.agree({
      place: reading.place,
      message: 'This port is native USB: the baud rate is not used on the wire.',
      causes: context.cause(facts.kind),
    });
}

function judgeLink(context: RuleContext, reading: Reading, baud: NumberFact, facts: LinkFacts): void {
  const { clock, uart, generator } = facts;
  const used: (Fact<unknown> | undefined)[] = [baud, clock, uart.oversampling, uart.bridge?.clock];
  const at = { place: reading.place, concept: reading.concept.id, root: reading.place };
  const asked = formatQuantity(baud.value.nom, 'dataRate')
    .replace(/\u00a0?Bd$/, 'baud')
    .replace(/ Bd$/, ' baud');
  const from = formatQuantity(clock.value.nom, 'frequency');
  const remedies = proposals(context, reading, baud, facts);
  const best = linkRate(facts, baud.value.nom);
  if (!best) {
    context.report({
      ...at,
      severity: 'error',
      message: `The board cannot make ${asked} from ${from}: the divisor does not fit its register (${generator.minDivisor} to ${generator.maxDivisor}).`,
      causes: causesOf(context, reading.place, used),
      remedies,
    });
    return;
  }
  const { limits } = best;
  const verdict = judgeSteps(
    best.size,
    [
      { above: limits.total, severity: 'error' },
      { above: limits.twoThirds, severity: 'warning' },
      ...(best.otherKnown ? [] : [{ above: limits.share, severity: 'info' } as const]),
    ],
    used,
  );
  const sends = formatQuantity(best.one.actual.nom, 'dataRate');
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `${sends} from ${from}, ${percent(Math.abs(best.error), 2)} off (divisor ${best.one.divider}, ${best.one.samples} samples a bit)`,
      causes: causesOf(context, reading.place, used),
    });
    return;
  }
  const pace = `${percent(Math.abs(best.error), 2)} too ${best.error > 0 ? 'fast' : 'slow'}`;
  const than = best.otherKnown ? ' for the other end' : '';
  const lead = `The board cannot make ${asked} from ${from}. It would really send at ${sends}, ${pace}${than}.`;
  const bears = percent(limits.total, 2);
  const end =
    verdict.step.above === limits.total
      ? ` The port ${hedged(verdict, 'will', 'may')} look dead or print garbage.`
      : verdict.step.above === limits.twoThirds
        ? ` With the clock tolerances that is more than two thirds of the ${bears} a receiver bears: it ${hedged(verdict, 'works', 'may work')} on some days only.`
        : ` That is more than one end's share of the ${bears} a receiver bears: it ${hedged(verdict, 'depends', 'may depend')} on the true rate of the other end (uarts[].bridge in the board profile).`;
  context.report({
    ...at,
    severity: verdict.severity,
    message: `${lead}${end}${estimateNote(used)}`,
    causes: causesOf(context, reading.place, used),
    remedies,
  });
}

/** Rates that both ends can make. Firmware and computer change together, so both files are edited where both state the rate. */
function proposals(context: RuleContext, reading: Reading, baud: NumberFact, facts: LinkFacts): Remedy[] {
  const { link, clock, generator, uart } = facts;
  const modes = samplesOf(uart, generator);
  const good = STANDARD_RATES.flatMap((rate) => {
    const errors = modes.map((samples) => {
      const made = makeRate(generator, samples, point(clock.value.nom), rate);
      return made ? Math.abs(relativeError(made.actual.nom, rate)) : Number.POSITIVE_INFINITY;
    });
    const error = Math.max(...errors);
    return error <= CLOSE && !sameRate(rate, baud.value.nom) ? [{ rate, error }] : [];
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
    .filter(({ rate }) => rates.some(({ value }) => sameRate(value.nom, rate)))
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
