import { findChipPin, findPin } from '../../board/find';
import type { BoardProfile, Capability } from '../../board/profile';
import type { PinUse } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { point } from '../../model/interval';
import { formatInterval } from '../../units';
import { freePins, freeWords } from '../freePins';
import {
  causesOf,
  type Extent,
  estimateNote,
  exceeds,
  extentOf,
  hedged,
  inWords,
  judge,
  setSetting,
  type Verdict,
} from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { deviceWords, isSamePin, isTaken, wiredSockets } from '../wiring';

export default defineRule({
  id: 'pins/lacks-capability',
  title: 'Pin cannot do this',
  what: 'A function needs something of its pin that the pin does not have: analog input, a timer, an interrupt.',
  why: 'An analog input on a digital pin reads a constant, and a heater controlled by a constant is not controlled.',
  formula:
    'needs of the function ⊆ capabilities of the pin; a timer is needed above the rate that software can switch',
  source: 'data sheet of the chip; 200 Hz for switching by software: common practice',
  severity: ['error', 'warning', 'info'],
  caution: 'A sensor that reads a constant can let a heater run away.',
  bad: [
    `
    #define TOOL_0_SENSOR_PIN PB3
                              ^^^ pins/lacks-capability: cannot measure a voltage
    //- a.board.json
    { "name": "Example board", "pins": { "PB3": { "capabilities": ["digital", "pwm"] }, "PA7": { "capabilities": ["digital", "analog"] } } }
    `,
  ],
  good: [
    `
    #define TOOL_0_SENSOR_PIN PA7
    //- a.board.json
    { "name": "Example board", "pins": { "PB3": { "capabilities": ["digital", "pwm"] }, "PA7": { "capabilities": ["digital", "analog"] } } }
    `,
  ],
  check(context) {
    const { board } = context.machine;
    for (const use of context.machine.pinUses) {
      for (const need of use.reading.concept.pin?.needs ?? []) {
        if (need === 'digital') continue;
        if (board) checkNeed(context, board, use, need);
        else if (need !== 'pwm') {
          context.need(
            undefined,
            use.reading,
            `Add a board profile (board in fettle.json) and I can check that this pin can ${ABILITY[need]}`,
          );
        }
      }
    }
  },
});

/** Hz up to which firmware switches a pin by itself. Common practice. */
const SOFTWARE_RATE = 200;

function checkNeed(context: RuleContext, board: BoardProfile, use: PinUse, need: Capability): void {
  const { reading, pin } = use;
  const found = findPin(board, pin);
  const capabilities = found?.capabilities ?? findChipPin(board, pin)?.capabilities;
  if (!capabilities) {
    if (found)
      context.need(
        undefined,
        reading,
        `Add what ${pin} can do (pins.${found.name}.capabilities) to the board profile and I can check this function`,
      );
    return;
  }
  if (capabilities.includes(need)) {
    if (need !== 'pwm') context.agree({ place: reading.place, message: `${pin} can ${ABILITY[need]}` });
    return;
  }
  const demand: Demand = need === 'pwm' ? timerDemand(context, use) : { extent: 'all', facts: [] };
  const verdict = judge(demand.extent, severityOf(use, need), demand.facts);
  if (!verdict) return;
  const at: Fact<unknown> | undefined = found && {
    value: pin,
    place: found.place,
    quality: 'stated',
    label: `pin ${found.name}: ${capabilities.join(', ')}`,
  };
  context.report({
    severity: verdict.severity,
    place: reading.place,
    message: `${pin} ${LACK[need]}${effect(use, need, demand.facts, verdict)}${estimateNote(demand.facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, [at, ...demand.facts]),
    remedies: remedies(context, board, use, need),
  });
}

const ABILITY: Record<Capability, string> = {
  digital: 'switch',
  analog: 'measure a voltage',
  pwm: 'make pulses with a timer',
  interrupt: 'raise an interrupt',
  uart: 'be a serial line',
};

const LACK: Record<Capability, string> = {
  digital: 'cannot switch',
  analog: 'cannot measure a voltage',
  pwm: 'has no timer to make pulses',
  interrupt: 'cannot raise an interrupt',
  uart: 'is no pin of a serial port',
};

const severityOf = (use: PinUse, need: Capability): Severity =>
  need === 'analog' || use.reading.concept.pin?.hardwareOnly ? 'error' : 'warning';

function effect(
  use: PinUse,
  need: Capability,
  facts: readonly (Fact<unknown> | undefined)[],
  verdict: Verdict,
): string {
  if (need === 'analog') {
    return use.reading.concept.id.endsWith('.sensor.pin')
      ? ', so the temperature would be a constant and the heater would not be controlled.'
      : `, so what is read for ${deviceWords(use)} would be a constant.`;
  }
  if (need === 'pwm') {
    const rate = facts.find(
      (fact): fact is NumberFact =>
        typeof fact?.value === 'object' && fact.value !== null && 'nom' in fact.value,
    );
    return rate
      ? `, and ${deviceWords(use)} is to be switched at ${formatInterval(rate.value, 'frequency')}, ${hedged(verdict, 'faster than software can', 'which may be faster than software can')}.`
      : `, and ${deviceWords(use)} is to be switched by one.`;
  }
  return `. The firmware may get by with looking at ${deviceWords(use)} from time to time; if it does not, nothing is noticed.`;
}

interface Demand {
  readonly extent: Extent;
  readonly facts: readonly (Fact<unknown> | undefined)[];
}

/** Whether this use asks for a timer: it says so, or it switches faster than software can. */
function timerDemand(context: RuleContext, use: PinUse): Demand {
  const { settings, sheet } = context.machine;
  const base = use.reading.concept.id.replace(/pin$/i, '');
  const source = settings.choice(`${base}pwmSource`);
  if (source?.value === 'software') return { extent: 'none', facts: [] };
  const frequency = settings.number(`${base}pwmFrequency`);
  if (source?.value === 'hardware')
    return { extent: 'all', facts: frequency ? [frequency, source] : [source] };
  if (!frequency) {
    if (settings.concepts.has(`${base}pwmFrequency`)) {
      context.need(
        undefined,
        use.reading,
        `Add the switching frequency (${base}pwmFrequency) to the settings and I can check whether ${use.pin} needs a timer`,
      );
    }
    return { extent: 'none', facts: [] };
  }
  const limit = sheet?.firmware?.softwarePwmLimit;
  const extent = extentOf([frequency.value, limit?.value ?? point(SOFTWARE_RATE)], exceeds);
  return { extent, facts: [frequency, limit] };
}

/** Pins that can do it, the one where the sheet has the device first, then free ones. */
function remedies(context: RuleContext, board: BoardProfile, use: PinUse, need: Capability): Remedy[] {
  const { machine } = context;
  const able = [...board.pins.values()].filter((pin) => pin.capabilities?.includes(need) && !pin.reservedFor);
  const reads = use.reading.concept.pin?.direction === 'in';
  const kind = need === 'analog' ? 'sensor' : reads ? 'input' : 'output';
  const free = freePins(machine, kind, (pin) => pin.capabilities?.includes(need) === true);
  const wired = wiredSockets(machine, use).filter(
    ({ pin }) =>
      able.some(({ name }) => isSamePin(machine, name, pin.value)) && !isTaken(machine, use, pin.value),
  );
  const edits = wired.flatMap(({ pin, socket }) =>
    setSetting(
      context,
      use.reading,
      { pin: pin.value },
      { title: `Use ${pin.value}, the pin of ${socket.value}, where the machine sheet has it` },
    ),
  );
  if (edits.length > 0) return edits;
  if (free.length === 0) return [];
  return [
    ...free
      .slice(0, 3)
      .flatMap(({ pin, socket }) =>
        setSetting(
          context,
          use.reading,
          { pin: pin.name },
          { title: `Use ${pin.name} (${socket}) and plug it in there` },
        ),
      ),
    inWords(`Free pins that can ${ABILITY[need]}: ${freeWords(free, 4)}`),
  ];
}
