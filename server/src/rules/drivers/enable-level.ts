import { isPin } from '../../board/find';
import type { DriverSocket } from '../../board/profile';
import type { Axis, Machine } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { withoutGaps } from '../currents';
import { capitalised, causesOf, inWords, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (level: string, mark = '') => `
//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_ENABLE_PIN PC2
#define AXIS_X_ENABLE_ACTIVE_LEVEL ${level}${mark}
//- a.board.json
{ "name": "Example board", "drivers": { "X": { "stepPin": "PC0", "enablePin": "PC2", "family": "drv8825" } } }`;

export default defineRule({
  id: 'drivers/enable-level',
  title: 'Enable level the wrong way round',
  what: 'Compares the level that switches the motor on with what the driver, or the wiring of its input, makes of it.',
  why: 'The motor is limp while it should move and locked while it should rest.',
  formula:
    "on at high = the socket's or family's level; at an optocoupled input (on at current) xor (wired to common +)",
  source: "the driver's data sheet; the circuit of an optocoupled input, exact comparison",
  severity: ['error', 'info'],
  caution: 'A vertical axis drops when its driver lets go.',
  bad: [
    example(
      'HIGH',
      '\n                                   ^^^^ drivers/enable-level: lets go of the motor when the pin is high',
    ),
  ],
  good: [example('LOW')],
  check(context) {
    const judged = context.machine.axes.flatMap((axis) => checkAxis(context, axis));
    checkSharedLines(context, judged);
  },
});

interface Judged {
  readonly axis: Axis;
  /** Level that switches its motors on. */
  readonly on: 'low' | 'high';
  readonly facts: readonly Fact<unknown>[];
}

function checkAxis(context: RuleContext, axis: Axis): Judged[] {
  const reading = axis.reading('enableActiveLevel');
  const set = axis.choice('enableActiveLevel');
  if (!reading || !set || !axis.pin('enablePin') || !context.machine.board) return [];
  if (axis.drivers.length === 0) {
    context.need(
      undefined,
      reading,
      'Add the driver socket with its step pin ("drivers") to the board profile and I can check this level',
    );
    return [];
  }
  const found = axis.drivers.map((socket) => ({ socket, sense: senseOf(socket) }));
  const loose = found.filter(({ socket }) => socket.enableWired?.value === false);
  if (loose[0] && loose.length === found.length) {
    context.report({
      severity: 'info',
      place: reading.place,
      message: `Nothing is joined to the enable input of ${axis.title}'s driver: it is on always, whatever this says.`,
      concept: reading.concept.id,
      causes: causesOf(context, reading.place, [loose[0].socket.enableWired]),
    });
    return [];
  }
  const wired = found.filter(({ socket }) => socket.enableWired?.value !== false);
  for (const { socket, sense } of wired) {
    if (sense) continue;
    context.need(undefined, reading, questionFor(socket));
    return [];
  }
  const wrong = wired.find(({ sense }) => sense && sense.on !== set.value);
  const facts = wired.flatMap(({ sense }) => sense?.facts ?? []);
  const causes = causesOf(context, reading.place, facts);
  if (!wrong?.sense) {
    const [first] = wired;
    context.agree({
      place: reading.place,
      message: `${first?.socket.family?.title ?? 'the driver'} is on while the pin is ${set.value}`,
      causes,
    });
    return first?.sense ? [{ axis, on: first.sense.on, facts }] : [];
  }
  const { on } = wrong.sense;
  const differ = wired.some(({ sense }) => sense && sense.on !== on);
  const name = wrong.socket.family?.title ?? 'This driver';
  context.report({
    severity: 'error',
    place: reading.place,
    message: differ
      ? `The drivers of ${axis.title} do not agree: one is on while the pin is high, another while it is low. No level suits both.`
      : `${capitalised(name)} lets go of the motor when the pin is ${set.value}, and you have ${set.value} as "on". The motor of ${axis.title} will be limp during moves and locked at rest.`,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: differ
      ? []
      : sharesWithOther(context.machine, axis, on)
        ? [inWords(`Wire this driver like the others on the line, or give it an enable line of its own`)]
        : setSetting(context, reading, { choice: on }, { title: `Switch ${axis.title}'s motor on by ${on}` }),
  });
  return [];
}

/** Whether another axis on the same enable line needs the other level. */
function sharesWithOther(machine: Machine, axis: Axis, on: 'low' | 'high'): boolean {
  const { board } = machine;
  const pin = axis.pin('enablePin');
  return machine.axes.some((other) => {
    const theirs = other === axis ? undefined : other.pin('enablePin');
    if (!board || !pin || !theirs || !isPin(board, pin.value, theirs.value)) return false;
    return other.drivers.some((socket) => (senseOf(socket)?.on ?? on) !== on);
  });
}

/** Level at the pin that switches the motor on, by the wiring, the socket or the family. */
function senseOf(socket: DriverSocket): { on: 'low' | 'high'; facts: readonly Fact<unknown>[] } | undefined {
  const { input, family, enableOn } = socket;
  if (enableOn) return { on: enableOn.value, facts: [enableOn] };
  if (input) {
    const { enableCurrent, common } = input;
    if (!enableCurrent || !common) return undefined;
    const onAtHigh = (enableCurrent.value === 'on') !== (common.value === '+');
    return { on: onAtHigh ? 'high' : 'low', facts: [enableCurrent, common] };
  }
  return family?.enableOn && { on: family.enableOn.value, facts: withoutGaps([family.enableOn]) };
}

function questionFor({ name, input }: DriverSocket): string {
  const at = `drivers.${name}`;
  if (input && !input.common)
    return `Say whether the driver's inputs are wired to a common 0 V or + (${at}.input.common) on the machine sheet and I can check this level`;
  if (input)
    return `Say whether current into the enable input switches the motor on or off (${at}.input.enableCurrent) on the machine sheet and I can check this level`;
  return `Add the driver's family, or the level that switches it on (${at}.enableOn), to the board profile or the machine sheet and I can check this level`;
}

/** One line for several drivers needs one sense. */
function checkSharedLines(context: RuleContext, judged: readonly Judged[]): void {
  const { board } = context.machine;
  if (!board) return;
  const seen: Judged[] = [];
  for (const one of judged) {
    const pin = one.axis.pin('enablePin');
    const other = seen.find((earlier) => {
      const theirs = earlier.axis.pin('enablePin');
      return pin && theirs && isPin(board, pin.value, theirs.value) && earlier.on !== one.on;
    });
    seen.push(one);
    const reading = one.axis.reading('enablePin');
    if (!other || !reading || !pin) continue;
    context.report({
      severity: 'error',
      place: reading.place,
      message: `${other.axis.title} and ${one.axis.title} share the enable line ${pin.value}, but one driver is on while it is ${other.on} and the other while it is ${one.on}.`,
      concept: reading.concept.id,
      root: reading.place,
      causes: causesOf(context, reading.place, [...other.facts, ...one.facts, other.axis.pin('enablePin')]),
    });
  }
}
