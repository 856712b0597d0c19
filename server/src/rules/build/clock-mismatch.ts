import type { NumberFact } from '../../model/fact';
import { formatNumber, formatQuantity } from '../../units';
import { causesOf, estimateNote, exceeds, judge, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const board = (crystal: string) => `//- a.board.json
{ "name": "Example board", "crystal": "${crystal}" }`;

/** Share by which two clocks may differ before a receiver loses bits of its own tolerance. */
const LIMIT = 0.005;
/** Crystals beside a microcontroller end here; a build clock above it is the chip's own, behind its multiplier. Common practice. */
const HIGHEST_CRYSTAL = 50e6;

export default defineRule({
  id: 'build/clock-mismatch',
  title: 'Built for another clock',
  what: 'The build counts on another crystal than the one on the board.',
  why: 'Everything that takes time runs too fast or too slow, and the port prints garbage.',
  formula: 'q = crystal/build clock; speeds and baud rates · q, waiting times / q; |q − 1| ≤ 0.5 %',
  source:
    'receiver tolerance tables of 8-bit microcontroller data sheets: ±1.5 to 2 % for each end, of which a crystal takes far less than 0.5 %',
  severity: ['error', 'warning'],
  bad: [
    `#define BUILD_CLOCK_HZ 8000000\n                       ^^^^^^^ build/clock-mismatch: The board's crystal is 12 MHz, the build counts on 8 MHz.\n${board('12 MHz')}`,
  ],
  good: [`#define BUILD_CLOCK_HZ 8000000\n${board('8 MHz ±50 ppm')}`],
  check(context) {
    const { machine } = context;
    const reading = machine.settings.reading('build.clock');
    const clock = machine.settings.number('build.clock');
    if (!reading || !clock || clock.value.nom <= 0) return;
    const { board } = machine;
    const own = [board?.uartClock, board?.timerClock].find((fact) => fact && isSame(fact, clock));
    const crystal = board?.crystal;
    if (own && !(crystal && isSame(crystal, clock))) {
      context.agree({
        place: reading.place,
        message: `${hertz(clock)} is the clock of the chip itself`,
        causes: causesOf(context, reading.place, [own]),
      });
      return;
    }
    const forms = machine.forms().length > 0 && !machine.sheet?.boardVariant;
    context.need(
      crystal,
      reading,
      forms
        ? 'Add which form of the board you have (boardVariant) to the machine sheet: its forms have different crystals'
        : 'Read the number on the crystal and add it (crystal) to the board profile',
    );
    if (!crystal || crystal.value.nom <= 0) return;
    if (clock.value.nom > HIGHEST_CRYSTAL && crystal.value.nom <= HIGHEST_CRYSTAL) {
      context.need<unknown>(
        undefined,
        reading,
        `Add the clock that the chip's timers count (timerClock) to the board profile: ${hertz(clock)} is no crystal, so I cannot compare it with the one on the board`,
      );
      return;
    }
    compare(context, clock, crystal);
  },
});

const isSame = (one: NumberFact, other: NumberFact): boolean =>
  Math.abs(one.value.nom / other.value.nom - 1) <= LIMIT;

const hertz = (fact: NumberFact): string => formatQuantity(fact.value.nom, 'frequency');

function compare(context: RuleContext, clock: NumberFact, crystal: NumberFact): void {
  const reading = context.machine.settings.reading('build.clock');
  if (!reading) return;
  const facts = [clock, crystal];
  // A tolerance of the clock source is no mismatch: only what lies beside its whole range is.
  const [built, fitted] = [clock.value.nom, crystal.value];
  const nearest = Math.min(Math.max(built, fitted.lo), fitted.hi);
  const verdict = judge(exceeds(Math.abs(nearest / built - 1), LIMIT) ? 'all' : 'none', 'error', facts);
  const causes = causesOf(context, reading.place, facts);
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `${hertz(clock)}, as on the board's crystal`,
      causes,
    });
    return;
  }
  const q = fitted.nom / built;
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `The board's crystal is ${hertz(crystal)}, the build counts on ${hertz(clock)}. Everything runs ${factor(q)}: ${effects(context, q).join(', ')}.${q > 1 ? ' The chip may be clocked past its limit.' : ''}${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: setSetting(context, reading, { si: crystal.value.nom }),
  });
}

const factor = (q: number): string =>
  q > 1 ? `${formatNumber(q, 3)} times too fast` : `${formatNumber(1 / q, 3)} times too slow`;

/** What becomes of some values of this machine. */
function effects({ machine }: RuleContext, q: number): string[] {
  const baud = machine.settings.number('link.host.baud');
  const axis = machine.axes.find((one) => !one.feed && one.number('maxSpeed'));
  const speed = axis?.number('maxSpeed');
  const guard = machine.zones.find((zone) => zone.guard.number('riseWindow'));
  const window = guard?.guard.number('riseWindow');
  const port = machine.links.find(({ link }) => link === 'host')?.uart;
  const usb = port?.kind?.value === 'nativeUsb';
  const found = [
    ...(usb ? ['the USB port does not appear'] : []),
    ...(baud && !usb
      ? [
          `the port sends ${formatNumber(baud.value.nom * q, 6)} instead of ${formatNumber(baud.value.nom, 6)} Bd`,
        ]
      : []),
    ...(speed && axis
      ? [
          `${axis.title} moves at ${shown(speed.value.nom * q, 'speed')} instead of ${shown(speed.value.nom, 'speed')}`,
        ]
      : []),
    ...(window && guard
      ? [
          `the guard of ${guard.title} waits ${shown(window.value.nom / q, 'time')} instead of ${shown(window.value.nom, 'time')}`,
        ]
      : []),
  ];
  return found.length > 0 ? found : ['speeds, waiting times and baud rates'];
}

const shown = (value: number, kind: 'speed' | 'time'): string => formatQuantity(value, kind, { digits: 3 });
