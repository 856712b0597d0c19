import { socketOfMotor } from '../../machine/axisMotors';
import type { Axis } from '../../machine/machine';
import type { SheetAxis } from '../../machine/sheet';
import type { Fact } from '../../model/fact';
import { aboutDriver } from '../currents';
import { causesOf, inWords, listed, remedy } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (order: string, mark = '') => `
//- a.machine.json
{
  "name": "Example machine",
  "motors": { "small": {} },
  "axes": {
    "x": {
      "motors": [
        { "motor": "small", "driver": "X", "order": ${order} }${mark}
      ]
    }
  }
}
//- settings.h
#define AXIS_X_STEP_PIN PC0
//- a.board.json
{ "name": "Example board", "drivers": { "X": { "stepPin": "PC0", "order": ["A+", "B+", "A-", "B-"] } } }`;

export default defineRule({
  id: 'drivers/coil-pairs',
  title: 'Wires of a motor in the wrong order',
  what: "Lays the cable's wires on the motor connector's contacts: each coil must meet one phase, and the turn must be the right one.",
  why: 'A coil across two phases makes the motor buzz and not turn; other orders turn it the other way.',
  formula:
    'both wires of a coil on one phase; turn = (phases swapped) + (coil 1 reversed) + (coil 2 reversed), odd is the other way round',
  source: 'geometry of a two-phase winding, exact comparison of the two orders',
  severity: ['error', 'warning', 'info'],
  caution:
    'Never unplug a motor under power: the driver can be destroyed. Moving parts: first moves from mid-travel.',
  bad: [
    example(
      '["1a", "1b", "2a", "2b"]',
      '\n                                                    ^^^^^^^^^^^^^^^^^^^^^^^^ drivers/coil-pairs: the motor will buzz and not turn',
    ),
  ],
  good: [example('["1a", "2a", "1b", "2b"]')],
  check(context) {
    for (const axis of context.machine.axes) {
      const split = (axis.sheet?.motors ?? []).filter((mounted) => checkMotor(context, axis, mounted));
      if (split.length === 0) checkObserved(context, axis);
    }
  },
});

type Mounted = SheetAxis['motors'][number];

interface Laid {
  /** Coils whose wires meet two phases. */
  readonly split: readonly string[];
  /** True when it turns the other way round than with 1a 1b 2a 2b on A+ A− B+ B−. */
  readonly turned: boolean;
}

/** Where the wires come to lie; nothing when the two orders are not of one kind. */
function laid(wires: readonly string[], contacts: readonly string[]): Laid | undefined {
  if (wires.length !== 4 || contacts.length !== 4 || new Set(wires).size !== 4) return undefined;
  const at = (wire: string): string => (contacts[wires.indexOf(wire)] ?? '').toUpperCase();
  const phase = (wire: string): string => at(wire).slice(0, -1);
  const [first, second, ...others] = [
    ...new Set(contacts.map((contact) => contact.slice(0, -1).toUpperCase())),
  ].sort();
  if (first === undefined || second === undefined || others.length > 0) return undefined;
  const split = ['1', '2'].filter((coil) => phase(`${coil}a`) !== phase(`${coil}b`));
  const reversed = (coil: string): number => Number(at(`${coil}a`).endsWith('-'));
  const swapped = Number(phase('1a') === second);
  return { split, turned: (swapped + reversed('1') + reversed('2')) % 2 === 1 };
}

function layOf(
  axis: Axis,
  mounted: Mounted,
): (Laid & { readonly facts: readonly Fact<unknown>[] }) | undefined {
  const socket = socketOfMotor(axis, mounted);
  const { order } = mounted;
  const lie = order && socket?.order && laid(order.value, socket.order.value);
  return lie && socket?.order && { ...lie, facts: [order, socket.order] };
}

/** True when a coil is split. */
function checkMotor(context: RuleContext, axis: Axis, mounted: Mounted): boolean {
  const lie = layOf(axis, mounted);
  const about = aboutDriver(axis, 'directionReversed');
  const socket = socketOfMotor(axis, mounted);
  if (!lie) {
    const text = !mounted.order
      ? `Measure which two wires of ${axis.title}'s motor belong together (about 1 to 10 Ω) and add their order (axes.${axis.axis}.motors[].order) to the machine sheet`
      : socket && !socket.order
        ? `Add the order of the motor connector's contacts (drivers.${socket.name}.order) to the board profile`
        : undefined;
    if (text && socket && about)
      context.need(undefined, about, `${text} and I can say whether the motor turns`);
    return false;
  }
  if (lie.split.length === 0) return false;
  const place = mounted.order?.place ?? mounted.place;
  const coils = lie.split.length > 1 ? 'both coils' : `coil ${lie.split[0]}`;
  context.report({
    severity: 'error',
    place,
    message: `On this board ${axis.title}'s plug puts ${coils} across two phases (${listed(mounted.order?.value ?? [], 'and')} on ${listed(socket?.order?.value ?? [], 'and')}): the motor will buzz and not turn.`,
    root: place,
    causes: causesOf(context, place, lie.facts),
    remedies: [
      inWords(
        "With the power off, re-pin the plug so that each coil's two wires meet one phase, then correct the order on the machine sheet",
      ),
    ],
  });
  return true;
}

/** The turn by the orders, and what a first move showed. */
function checkObserved(context: RuleContext, axis: Axis): void {
  const reading = axis.reading('directionReversed');
  const observed = axis.sheet?.observedDirection;
  const lies = (axis.sheet?.motors ?? []).map((mounted) => layOf(axis, mounted));
  const [lie] = lies;
  const facts = lies.flatMap((one) => one?.facts ?? []);
  const place = reading?.place ?? observed?.place;
  if (observed?.value === 'wrong' && place) {
    const why = lie?.turned ? ' Its plug lies the other way round on this board.' : '';
    context.report({
      severity: 'warning',
      place,
      message: `${axis.title} moved the wrong way.${why} ${reading ? 'Turn its direction round' : "Turn its direction round in the settings, or one coil's two wires in the plug"}.`,
      concept: reading?.concept.id,
      root: place,
      causes: causesOf(context, place, [observed, ...facts]),
      remedies: turnRound(context, axis, observed),
    });
    return;
  }
  // Where it only the order tells: both motors of a pair may well lie differently.
  if (!lie || !place || lies.length > 1) return;
  if (!observed && lie.turned) {
    const [first] = axis.sheet?.motors ?? [];
    context.report({
      severity: 'info',
      place,
      message: `${axis.title}'s plug lies so that the motor turns the other way round than with its coils in the order of the phases. If the setting comes from a board where it lay the usual way, ${axis.title} runs backwards: try a short move from mid-travel and note what it showed (axes.${axis.axis}.observedDirection).`,
      concept: reading?.concept.id,
      root: first?.order?.place ?? place,
      causes: causesOf(context, place, facts),
    });
    return;
  }
  const way = lie.turned ? 'turns the other way round' : 'lies in the order of the phases';
  context.agree({
    place,
    message: `each coil meets one phase; the plug ${way}${observed ? ', and a first move was right' : ''}`,
    causes: causesOf(context, place, [observed, ...facts]),
  });
}

/** The other sense, and with it what the first move would show now. */
function turnRound(context: RuleContext, axis: Axis, observed: Fact<string>): Remedy[] {
  const reading = axis.reading('directionReversed');
  const now = axis.switch('directionReversed');
  const edit = reading && now && context.machine.settings.edit(reading, { on: !now.value });
  if (!edit || !observed.place)
    return [
      inWords(
        `Turn ${axis.title}'s direction round in the settings, then note on the machine sheet what a first move shows`,
      ),
    ];
  return [
    remedy(
      `Turn ${axis.title}'s direction round: reversed ${now.value ? 'on → off' : 'off → on'}; the sheet then says that it moves right, so try it`,
      [edit, { place: observed.place, newText: '"right"' }],
    ),
  ];
}
