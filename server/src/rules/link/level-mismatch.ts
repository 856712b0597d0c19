import { type LineCircuit, linkCircuit } from '../../machine/linkCircuit';
import type { Link } from '../../machine/machine';
import { ends, type Interval } from '../../model/interval';
import type { Place } from '../../model/place';
import type { InputSolution } from '../../physics/inputCorners';
import { formatInterval, formatQuantity } from '../../units';
import { USUAL_INJECTION } from '../injection';
import { atMost, causesOf, type Extent, estimateNote, exceeds, hedged, inWords, judge } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';

const example = (panel: string, mark = '') => `
#define LINK_PANEL_PORT 2${mark}
//- a.board.json
{
  "name": "Example board",
  "logicVoltage": "3.3 V",
  "chipFacts": { "vil": "0.99 V", "vih": "2.31 V", "pinMax": "3.6 V", "injectionMax": "5 mA" },
  "uarts": [{ "port": 2, "kind": "uart", "receivePin": "P11", "transmitPin": "P10" }]
}
//- a.machine.json
{ "name": "Example machine", "links": { "panel": { ${panel} } } }
`;

export default defineRule({
  id: 'link/level-mismatch',
  title: 'Logic levels of a link do not fit',
  what: 'Compares the levels that both ends of a serial link give with what their pins read and stand.',
  why: 'Too much voltage kills a pin, sometimes weeks later; too little is read wrong on some days.',
  formula:
    'V_OH ≤ V_max or (V_OH − V_clamp)/R ≤ I_injection; V_OH ≥ V_IH; V_OL ≤ V_IL, in both directions, through the resistors in the line',
  source:
    "the chip's data sheet: levels, highest pin voltage, injected current; JEDEC JESD8C.01 for 3.3 V ends that state none; 0.5 V under V_IH that usually work: common practice",
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [
    example(
      '"logicVoltage": "5 V", "voh": "4.6 V", "vih": "2.0 V"',
      '\n                        ^ link/level-mismatch: drives 4.6 V into a pin that stands 3.6 V',
    ),
  ],
  good: [
    example('"logicVoltage": "3.3 V"'),
    example('"logicVoltage": "5 V", "voh": "4.6 V", "vih": "2.0 V", "seriesResistor": "10 kΩ"'),
    example('"logicVoltage": "5 V", "levelShifter": true'),
  ],
  check(context) {
    for (const link of context.machine.links) checkLink(context, link);
  },
});

/** A level this far under V_IH usually works. Common practice. V */
const CLOSE = 0.5;
const SAME_RAIL = 0.01;
const CAUTION = 'Do not plug the panel in before this is cleared.';

function checkLink(context: RuleContext, link: Link): void {
  const place = (link.reading('port') ?? link.reading('baud'))?.place ?? link.sheet?.place;
  if (!place) return;
  const { lines, questions } = linkCircuit(context.machine, link);
  for (const question of questions) context.need<unknown>(undefined, place, question);
  const told = lines.map((line) => checkLine(context, link, line, place));
  if (lines.length > 0 && told.every((fired) => !fired)) {
    const arrives = lines.map(
      ({ direction, whenHigh }) => `${volts(whenHigh)} at ${direction === 'in' ? 'the board' : endOf(link)}`,
    );
    context.agree({
      place,
      message: `The lines of this link are high with ${arrives.join(' and ')}: clear levels that the pins stand`,
      causes: causesOf(
        context,
        place,
        lines.flatMap(({ facts }) => facts),
      ),
    });
  }
}

const endOf = (link: Link): string => (link.link === 'panel' ? 'the panel' : 'the other end');
const volts = ({ pin }: InputSolution): string => formatInterval(pin ?? { lo: 0, nom: 0, hi: 0 }, 'voltage');

function checkLine(context: RuleContext, link: Link, line: LineCircuit, place: Place): boolean {
  return checkMaximum(context, link, line, place) || checkLevels(context, link, line, place);
}

const extent = (results: readonly boolean[]): Extent =>
  results.every(Boolean) ? 'all' : results.some(Boolean) ? 'some' : 'none';

/** Voltage above what the pin stands, with nothing that keeps the current small. */
function checkMaximum(context: RuleContext, link: Link, line: LineCircuit, place: Place): boolean {
  const { whenHigh, pinMax, injectionMax, clamp, direction, high, facts } = line;
  const name = `links.${link.link}`;
  // Nobody knows what the other end stands: doubtful only where more than its own supply arrives.
  if (!pinMax) return doubtful(context, link, line, place);
  const limit = injectionMax?.value.nom ?? USUAL_INJECTION;
  // Two ends at one voltage are mostly fed by one rail, and that is high or low for both.
  if (Math.abs(high.value.nom / line.supply.value.nom - 1) <= SAME_RAIL) return false;
  const results = whenHigh.corners.map(({ pin, injected }) =>
    clamp ? exceeds(injected, limit) : exceeds(pin, pinMax.value.hi),
  );
  const assumed = pinMax.quality === 'assumed' || (clamp && !injectionMax && line.series.hi > 0);
  const verdict = judge(extent(results), 'error', facts);
  if (!verdict) return false;
  const severity = assumed ? atMost(verdict.severity, 'warning') : verdict.severity;
  const [driver, reader] =
    direction === 'in' ? [endOf(link), 'a pin'] : ['The board', `${endOf(link)}'s pin`];
  const flows = clamp
    ? ` ${formatQuantity(whenHigh.injected.hi, 'current')} ${hedged(verdict, 'flow', 'may flow')} into its protection, ${injectionMax ? 'its limit is' : 'the usual limit is'} ${formatQuantity(limit, 'current')}.`
    : '';
  context.report({
    severity,
    place,
    concept: link.reading('port')?.concept.id,
    message: `${driver.charAt(0).toUpperCase()}${driver.slice(1)} drives ${formatInterval(high.value, 'voltage')} into ${reader} that stands ${formatInterval(pinMax.value, 'voltage')}.${flows} It ${severity === 'error' ? 'can' : 'may'} kill the pin, sometimes weeks later.${estimateNote(facts)}`,
    causes: causesOf(context, place, facts),
    root: high.place,
    caution: CAUTION,
    // The sheet is not told of a shifter by edit: the finding would be gone before it is fitted.
    remedies: [
      inWords(
        `Fit a level shifter, or a divider of 1 kΩ over 2 kΩ in this line, then note it on the machine sheet ("${name}.levelShifter")`,
      ),
    ],
  });
  return true;
}

function doubtful(context: RuleContext, link: Link, line: LineCircuit, place: Place): boolean {
  const theirs = link.sheet?.logicVoltage;
  if (!theirs || line.series.hi > 0) return false;
  if (!exceeds(line.high.value.hi, theirs.value.hi + 0.3)) return false;
  const name = `links.${link.link}.pinMax`;
  context.need(
    link.sheet?.pinMax,
    place,
    `Add what voltage the pins of ${endOf(link)} stand (${name}) to the machine sheet.`,
  );
  context.report({
    severity: 'info',
    place,
    concept: link.reading('port')?.concept.id,
    message: `The board drives up to ${formatQuantity(line.high.value.hi, 'voltage')} into ${endOf(link)}, whose logic runs at ${formatInterval(theirs.value, 'voltage')}. Some such pins stand 5 V and some die of it: the machine sheet does not say (${name}).`,
    causes: causesOf(context, place, line.facts),
    root: theirs.place,
    remedies: [inWords(`Look up what the pins of ${endOf(link)} stand and note it on the machine sheet`)],
  });
  return true;
}

interface LevelFault {
  readonly severity: Severity;
  readonly message: string;
  readonly certain: boolean;
}

function checkLevels(context: RuleContext, link: Link, line: LineCircuit, place: Place): boolean {
  const { vil, vih, facts } = line;
  const reader = line.direction === 'in' ? 'The board' : `${endOf(link)}`;
  const title = reader.charAt(0).toUpperCase() + reader.slice(1);
  const high = vih && vil && highFault(line, title, vih.value, vil.value);
  const low = vil && lowFault(line, title, vil.value);
  const fault = high ?? low;
  if (!fault) return false;
  const bound = high ? vih : vil;
  // A level that only some of the possible thresholds fail: nobody can tell before one of them is stated.
  if (!fault.certain && bound?.quality === 'assumed') {
    context.need<unknown>(
      undefined,
      place,
      `Add from which voltage on ${endOf(link)} reads ${high ? 'high' : 'low'} (links.${link.link}.${high ? 'vih' : 'vil'}) to the machine sheet.`,
    );
    return false;
  }
  context.report({
    severity: fault.severity,
    place,
    concept: link.reading('port')?.concept.id,
    message: `${fault.message}${estimateNote(facts)}`,
    causes: causesOf(context, place, facts),
    caution: undefined,
    remedies: [
      inWords(
        `Fit a level shifter in this line, or smaller resistors, then note it on the machine sheet ("links.${link.link}")`,
      ),
    ],
  });
  return true;
}

const cornersOf = ({ corners }: InputSolution, threshold: Interval): [number, number][] =>
  corners.flatMap(({ pin }) => ends(threshold).map((one): [number, number] => [pin, one]));

function highFault(line: LineCircuit, reader: string, vih: Interval, vil: Interval): LevelFault | undefined {
  const { whenHigh, facts } = line;
  const verdict = judge(
    extent(cornersOf(whenHigh, vih).map(([pin, least]) => exceeds(least, pin))),
    'warning',
    facts,
  );
  if (!verdict) return undefined;
  const { certain } = verdict;
  const reads = `${reader} reads high from ${formatInterval(vih, 'voltage')} on and gets ${volts(whenHigh)}`;
  const best = whenHigh.pin?.hi ?? 0;
  if (!exceeds(best, vil.lo)) {
    return {
      certain,
      severity: 'error',
      message: `${reads}, which it reads as low: nothing will be understood.`,
    };
  }
  if (exceeds(vih.hi - CLOSE, best)) {
    return {
      certain,
      severity: verdict.severity,
      message: `${reads}: bytes ${hedged(verdict, 'are', 'may be')} read wrong on some days.`,
    };
  }
  const severity = atMost(verdict.severity, 'info');
  return {
    certain,
    severity,
    message: `${reads}. That close it usually works, and no data sheet promises it.`,
  };
}

function lowFault(line: LineCircuit, reader: string, vil: Interval): LevelFault | undefined {
  const { whenLow, facts } = line;
  const verdict = judge(
    extent(cornersOf(whenLow, vil).map(([pin, most]) => exceeds(pin, most))),
    'warning',
    facts,
  );
  if (!verdict) return undefined;
  return {
    certain: verdict.certain,
    severity: verdict.severity,
    message: `${reader} reads low up to ${formatInterval(vil, 'voltage')} and gets ${volts(whenLow)}: bytes ${hedged(verdict, 'are', 'may be')} read wrong on some days.`,
  };
}
