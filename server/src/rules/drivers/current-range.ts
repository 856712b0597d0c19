import { driverCurrents, onlyDriver } from '../../machine/driverCurrent';
import type { Axis } from '../../machine/machine';
import { over, point } from '../../model/interval';
import { rmsOf } from '../../physics/stepper';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { withoutGaps } from '../currents';
import {
  causesOf,
  estimateNote,
  exceeds,
  hedged,
  inWords,
  judge,
  percent,
  roundedDown,
  setSetting,
} from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (current: string, mark = '') => `
//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_MOTOR_CURRENT_A ${current}${mark}
//- a.board.json
{
  "name": "Example board",
  "drivers": {
    "X": {
      "stepPin": "PC0", "senseResistor": "0.22 Ω",
      "familyFacts": { "current": { "kind": "bus", "fullScale": ["0.32 V"], "steps": 32 } }
    }
  }
}`;

export default defineRule({
  id: 'drivers/current-range',
  title: 'Current outside what the driver can be set to',
  what: "Compares the motor current with the driver's full scale for its sense resistor.",
  why: 'Above full scale the current is cut without a word; far below it can only be set in coarse steps.',
  formula:
    'I_fs = V_fs/((R_s + R_extra)·√2) rms; real current min(I, I_fs) in steps of I_fs/n; with several ranges any may hold',
  source: "the driver's data sheet; one eighth of full scale: common practice",
  severity: ['warning', 'info', 'hint'],
  bad: [example('1.2', '\n                               ^^^ drivers/current-range: tops out at 1.03 A')],
  good: [example('0.8')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
  },
});

/** Share of full scale below which steps of current are coarse. Common practice. */
const COARSE = 1 / 8;

function checkAxis(context: RuleContext, axis: Axis): void {
  const { machine } = context;
  const reading = axis.reading('motorCurrent');
  const set = axis.number('motorCurrent');
  if (!reading || !set || !machine.board) return;
  const driver = onlyDriver(axis);
  if (!driver && axis.drivers.length > 0) return;
  const formula = driver?.family?.current;
  // The current of a driver outside the board is set on the driver itself.
  if (!formula && driver?.input) return;
  if (!formula) {
    context.need(
      undefined,
      reading,
      'Add the family of the driver in this socket ("drivers", "family"), or its current formula ("familyFacts.current"), to the board profile or the machine sheet and I can tell the range of this current',
    );
    return;
  }
  if (formula.kind !== 'bus' || formula.fullScale.length === 0) return;
  const ranges = driverCurrents(machine, axis).sort((a, b) => a.peak.nom - b.peak.nom);
  const [smallest, largest] = [ranges[0], ranges.at(-1)];
  if (!smallest || !largest) {
    context.need(
      undefined,
      reading,
      'Add the sense resistor beside the driver ("drivers", "senseResistor") to the board profile and I can tell the range of this current',
    );
    return;
  }
  const { steps } = formula;
  const full = over([largest.peak], rmsOf);
  const facts = withoutGaps<unknown>([set, ...largest.facts, formula.extraResistance]);
  const causes = causesOf(context, reading.place, facts);
  const share = over([set.value, full], (amperes, most) => amperes / most);
  const clipped = judge(
    exceeds(share.lo, 1) ? 'all' : exceeds(share.hi, 1) ? 'some' : 'none',
    'warning',
    facts,
  );
  const sense = formatQuantity(
    (driver?.senseResistor ?? axis.number('senseResistor'))?.value.nom ?? 0,
    'resistance',
    {
      unit: 'Ω',
    },
  );
  const [said, most] = [formatInterval(set.value, 'current'), formatInterval(full, 'current')];
  if (clipped) {
    const to = roundedDown(full.lo, 2);
    context.report({
      severity: clipped.severity,
      place: reading.place,
      message: `This driver tops out at ${most} rms with its ${sense} resistors; your ${said} ${hedged(clipped, 'is', 'may be')} cut to that without a word.${estimateNote(facts)}`,
      concept: reading.concept.id,
      root: reading.place,
      causes,
      remedies: setSetting(
        context,
        reading,
        { si: to, digits: 3 },
        { title: `Set it to ${formatQuantity(to, 'current')}, within what the driver does` },
      ),
    });
    return;
  }
  const small = over([smallest.peak], rmsOf);
  const part = over([set.value, small], (amperes, scale) => amperes / scale);
  const extent = exceeds(COARSE, part.hi) ? 'all' : exceeds(COARSE, part.lo) ? 'some' : 'none';
  const coarse = set.value.nom > 0 ? judge(extent, 'info', facts) : undefined;
  const count = steps ? over([part, point(steps.value)], (one, all) => one * all).nom : undefined;
  if (!coarse) {
    context.agree({
      place: reading.place,
      message: `${said} of ${most} full scale (${percent(share.nom, 2)})`,
      causes,
    });
    return;
  }
  const grain =
    count === undefined || !steps
      ? ''
      : `: ${Math.max(Math.round(count), 0)} of its ${steps.value} steps, each ${formatQuantity(small.nom / steps.value, 'current')}`;
  context.report({
    severity: coarse.severity,
    place: reading.place,
    message: `${said} ${hedged(coarse, 'is', 'may be')} only ${formatNumber(100 * part.nom, 2)} % of this driver's smallest full scale of ${formatInterval(small, 'current')} rms with its ${sense} resistors${grain}. It cannot be set finely.${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: [inWords('A driver module with larger sense resistors sets small currents more finely')],
  });
}
