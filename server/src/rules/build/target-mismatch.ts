import { shippedChip } from '../../board/chips';
import { sameName } from '../../board/find';
import type { BoardProfile, BuildTarget } from '../../board/profile';
import type { Fact, NumberFact } from '../../model/fact';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { causesOf, extentOf, listed, setSetting } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';

export default defineRule({
  id: 'build/target-mismatch',
  title: 'Build for another board',
  what: 'The build target, or the board the firmware is told of, is not that of this board.',
  why: 'The firmware does not start, starts with the wrong pins, or fails once it is larger than the memory.',
  formula: "family of target = board's; flash and RAM of target ≤ board's; pin map equal",
  source: 'the board profile, exact comparison',
  severity: ['error', 'info'],
  bad: [
    `
    #define BUILD_TARGET "bench-512"
                         ^^^^^^^^^^^ build/target-mismatch: 512 KiB
    //- a.board.json
    {
      "name": "Example board",
      "memory": { "flash": "256 KiB" },
      "buildTargets": ["bench-256"],
      "otherTargets": { "bench-512": { "flash": "512 KiB" } }
    }
    `,
  ],
  good: [
    `
    #define BUILD_TARGET "bench-256"
    //- a.board.json
    {
      "name": "Example board",
      "memory": { "flash": "256 KiB" },
      "buildTargets": ["bench-256"],
      "otherTargets": { "bench-512": { "flash": "512 KiB" } }
    }
    `,
  ],
  check(context) {
    const { settings, board } = context.machine;
    const target = settings.reading('build.target');
    const named = settings.reading('machine.board');
    if (target) checkTarget(context, board, target, settings.text('build.target'));
    if (named) checkPinMap(context, board, named, settings.text('machine.board'));
  },
});

function checkTarget(
  context: RuleContext,
  board: BoardProfile | undefined,
  reading: Reading,
  target: Fact<string> | undefined,
): void {
  if (!target) return;
  const fitting = board?.buildTargets ?? [];
  const match = fitting.find(({ value }) => sameName(value, target.value));
  if (match) {
    context.agree({
      place: reading.place,
      message: `${target.value} is a build target of this board`,
      causes: causesOf(context, reading.place, [match]),
    });
    return;
  }
  const other = [...(board?.otherTargets.values() ?? [])].find(({ name }) => sameName(name, target.value));
  if (!board || !other) {
    context.need(
      undefined,
      reading,
      fitting.length === 0
        ? 'Add the build targets that fit this board (buildTargets) to the board profile and I can check this one'
        : `Add the build target ${target.value} to the board profile (buildTargets if it fits, otherTargets with what it is made for if not) and I can check it`,
    );
    return;
  }
  const faults = faultsOf(board, other);
  const worst = faults.find(({ severity }) => severity === 'error') ?? faults[0];
  if (!worst) return;
  const told = faults.filter(({ severity }) => severity === worst.severity);
  context.report({
    severity: worst.severity,
    place: reading.place,
    message: `${told.map(({ message }) => message).join(' ')}${
      fitting.length > 0
        ? ` This board's target is ${listed(
            fitting.map(({ value }) => value),
            'or',
          )}.`
        : ''
    }`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [...told.flatMap(({ facts }) => facts), fitting[0]]),
    remedies: fitting.slice(0, 3).flatMap(({ value }) => setSetting(context, reading, { text: value })),
  });
}

interface Fault {
  readonly severity: Severity;
  readonly message: string;
  readonly facts: readonly (Fact<unknown> | undefined)[];
}

function faultsOf(board: BoardProfile, target: BuildTarget): Fault[] {
  const { chip, memory } = board;
  const faults: Fault[] = [];
  const made = target.chip && shippedChip(target.chip.value);
  const family = target.family?.value ?? made?.family;
  if (chip && family !== undefined && !sameName(family, chip.family)) {
    faults.push({
      severity: 'error',
      message: `You are building for another microcontroller than the one on this board: ${target.name} is for ${target.chip?.value ?? family}, the board has ${chip.title}. It will not start.`,
      facts: [target.family ?? target.chip],
    });
    return faults;
  }
  if (board.pinMap && target.pinMap && !sameName(target.pinMap.value, board.pinMap.value)) {
    faults.push({
      severity: 'error',
      message: `${target.name} numbers the pins by ${target.pinMap.value}, this board needs ${board.pinMap.value}. It will start with the wrong pins.`,
      facts: [target.pinMap, board.pinMap],
    });
  }
  faults.push(
    ...memoryFault('program memory', target.name, target.flash ?? made?.flash, memory?.flash ?? chip?.flash),
    ...memoryFault('data memory', target.name, target.ram ?? made?.ram, memory?.ram ?? chip?.ram),
  );
  return faults;
}

function memoryFault(
  what: string,
  name: string,
  target: NumberFact | undefined,
  fitted: NumberFact | undefined,
): Fault[] {
  if (!target || !fitted) return [];
  const [asks, has] = [
    formatQuantity(target.value.nom, 'memory'),
    formatQuantity(fitted.value.nom, 'memory'),
  ];
  const facts = [target, fitted];
  if (extentOf([target.value, fitted.value], (wanted, there) => wanted > there) === 'all') {
    return [
      {
        severity: 'error',
        message: `${name} counts on ${asks} of ${what}, the board has ${has}: it links, then fails above ${has}.`,
        facts,
      },
    ];
  }
  if (extentOf([target.value, fitted.value], (wanted, there) => wanted < there) === 'all') {
    return [
      {
        severity: 'info',
        message: `${name} uses ${asks} of the ${has} of ${what} on this board. It runs, with less room.`,
        facts,
      },
    ];
  }
  return [];
}

/** The board that the firmware is told of chooses its pin numbering. */
function checkPinMap(
  context: RuleContext,
  board: BoardProfile | undefined,
  reading: Reading,
  named: Fact<string> | undefined,
): void {
  if (!named || !board) return;
  if (sameName(named.value, board.name.value)) {
    context.agree({
      place: reading.place,
      message: `${named.value} is the board of the profile`,
      causes: causesOf(context, reading.place, [board.name]),
    });
    return;
  }
  const map = context.need(
    board.pinMap,
    reading,
    'Add the name of the pin numbering that the build must use (pinMap) to the board profile and I can check this board',
  );
  if (!map) return;
  if (sameName(named.value, map.value)) {
    context.agree({
      place: reading.place,
      message: `${named.value} is the pin numbering of this board`,
      causes: causesOf(context, reading.place, [map]),
    });
    return;
  }
  context.report({
    severity: 'error',
    place: reading.place,
    message: `The firmware is told that the board is ${named.value}, but ${board.name.value} needs the pin numbering ${map.value}. It will start with the wrong pins.`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [map, board.name]),
    remedies: setSetting(context, reading, { text: map.value }),
  });
}
