import type { BoardPin, BoardProfile, Output } from '../../board/profile';
import { outputAtReset } from '../../machine/inputCircuit';
import type { PinUse, Zone } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { ends, interval, over } from '../../model/interval';
import { powerOf, resistanceOfRating } from '../../physics/heater';
import { losslessRate } from '../../physics/thermal';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { atMost, causesOf, type Extent, estimateNote, hedged, inWords, judge, type Verdict } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';
import { deviceIn, deviceWords, isHeater } from '../wiring';

const example = (gate: string, mark = '') => `
//- settings.h
#define TOOL_0_HEATER_PIN PA15${mark}
//- b.board.json
{
  "name": "Example", "chip": "stm32f103", "logicVoltage": "3.3 V", "bootTime": "5 s",
  "outputs": { "OUT1": { "pin": "PA15", "kind": "transistor", "inverting": false, "gatePullDown": "${gate}", "gateThreshold": "1.0 V" } }
}
//- m.machine.json
{
  "name": "Example", "supply": { "voltage": "24 V" },
  "heaters": { "tool": { "zone": "tool.0", "output": "OUT1", "ratedVoltage": "24 V", "ratedPower": "40 W", "heatCapacity": "14 J/K" } }
}`;

const CAUTION = 'Fire and burn hazard: a board stuck in its loader heats with no guard running.';

export default defineRule({
  id: 'pins/boot-state',
  title: 'Output that may be on while the board starts',
  what: "Computes the voltage on an output's gate from power-up until the firmware sets the pin.",
  why: 'A heater, spindle or laser then runs with no guard; without end if the board hangs in its loader.',
  formula:
    'V_gate = V_logic·R_pd/(R_pu + R_pd), at the corners of both pulls, against the least gate threshold; Q = P·t_boot, rise = Q/C',
  source:
    'microcontroller data sheets: what holds the pins at reset; power-transistor data sheets: V_GS(th), taken as 1.0 to 2.5 V (logic-level part) where the profile states none. A fan or a lamp that runs for those seconds harms nothing: info, common practice',
  severity: ['error', 'warning', 'info', 'hint'],
  caution: CAUTION,
  bad: [example('100 kΩ', '\n                          ^^^^ pins/boot-state: heater of the tool may be on')],
  good: [example('10 kΩ')],
  check(context) {
    const { board, pinUses } = context.machine;
    if (!board) return;
    for (const use of pinUses) if (SWITCHED.test(use.reading.concept.id)) checkUse(context, board, use);
  },
});

const SWITCHED = /^(?:(?:tool\.\d+|bed)\.heater|fan\..*|spindle|laser|lamp|coolant|pen)\.pin$/;

/** V_GS(th) of logic-level transistors, from their data-sheet families. V */
const USUAL_THRESHOLD: NumberFact = {
  value: interval(1, 2.5, 1.7),
  quality: 'assumed',
  label: 'gate threshold of a logic-level transistor',
};

/** How bad it is when it is on by itself. */
function severityOf({ reading }: PinUse): Severity {
  const { id } = reading.concept;
  if (/(?:\.heater|spindle|laser)\.pin$/.test(id)) return 'error';
  return /^(?:fan|lamp)\b/.test(id) ? 'info' : 'warning';
}

function checkUse(context: RuleContext, board: BoardProfile, use: PinUse): void {
  const { output, boardPin, reading } = use;
  if (!output || !boardPin || output.kind?.value === 'logic') return;
  const zone = context.machine.zones.find(({ id }) => reading.concept.id === `${id}.heater.pin`);
  const reset = context.need(
    boardPin.resetState,
    reading,
    `Add what holds ${use.pin} while the board starts ("pins.${use.pin}.resetState") to the board profile.`,
  );
  if (!reset) return;
  const level = output.inverting?.value
    ? invertedOn(context, use, output, reset)
    : stageOn(context, board, use, { output, boardPin, reset });
  if (!level) return;
  const module = zone?.heater?.externalSwitch;
  if (module && !module.inverting) {
    context.need<unknown>(
      undefined,
      reading,
      `Does a switched-on output switch the module on ("heaters.${zone?.heater?.name}.externalSwitch.inverting": false)? Add it to the machine sheet.`,
    );
    return;
  }
  const on = module?.inverting?.value ? turned(level) : level;
  const facts = [...on.facts, module?.inverting];
  const verdict = judge(on.extent, severityOf(use), facts, { firm: true });
  const causes = causesOf(context, reading.place, facts);
  if (!verdict) {
    context.agree({ place: reading.place, message: `Off while the board starts: ${on.text}`, causes });
    return;
  }
  report(context, use, on, verdict, zone, facts);
}

interface On {
  readonly extent: Extent;
  /** "the gate is at 2.36 V" */
  readonly text: string;
  readonly facts: readonly (Fact<unknown> | undefined)[];
  /** True when nothing holds the gate: any level may come. */
  readonly floats?: boolean;
}

const turned = (on: On): On => ({
  ...on,
  extent: on.extent === 'none' ? 'all' : on.extent === 'all' ? 'none' : 'some',
});

function stageOn(
  context: RuleContext,
  board: BoardProfile,
  use: PinUse,
  {
    output,
    boardPin,
    reset,
  }: { output: Output; boardPin: BoardPin; reset: NonNullable<BoardPin['resetState']> },
): On | undefined {
  const { reading, pin } = use;
  if (reset.value === 'pullDown') {
    return { extent: 'none', text: 'the chip itself holds the pin low', facts: [reset] };
  }
  const gate = output.gatePullDown;
  const unheld = output.gateUnheld?.value === true;
  if (!gate && !unheld) {
    context.need<unknown>(
      undefined,
      reading,
      `What holds the gate of ${output.name} off while the board starts? Add it ("outputs.${output.name}.gatePullDown", or "gateUnheld": true) to the board profile.`,
    );
    return undefined;
  }
  if (reset.value === 'floating') {
    const facts = [reset, gate ?? output.gateUnheld];
    return gate
      ? {
          extent: 'none',
          text: `its resistor of ${formatInterval(gate.value, 'resistance')} holds the gate low`,
          facts,
        }
      : { extent: 'all', text: 'nothing holds its gate', facts, floats: true };
  }
  const logic = context.need(
    board.logicVoltage,
    reading,
    'Add the logic voltage ("logicVoltage") to the board profile.',
  );
  if (!logic) return undefined;
  const kind = output.kind?.value ?? 'transistor';
  const threshold = output.gateThreshold ?? (kind === 'transistor' ? USUAL_THRESHOLD : undefined);
  if (!threshold) {
    context.need<unknown>(
      undefined,
      reading,
      `Add the level at which ${output.name} switches ("outputs.${output.name}.gateThreshold") to the board profile; ${pin} is pulled up at reset.`,
    );
    return undefined;
  }
  const solution = outputAtReset(board, boardPin, reset.value, logic.value, gate?.value);
  const corners = solution.corners.flatMap((corner) =>
    ends(threshold.value).map((least) => corner.pin - least >= -1e-9),
  );
  const facts = [reset, boardPin.pullUp, gate ?? output.gateUnheld, output.gateThreshold];
  const extent = corners.every(Boolean) ? 'all' : corners.some(Boolean) ? 'some' : 'none';
  const volts = solution.pin ?? over([logic.value], (one) => one);
  return {
    extent,
    text: `the gate is at ${formatInterval(volts, 'voltage')} and the transistor begins to conduct at ${formatInterval(threshold.value, 'voltage')}`,
    facts,
  };
}

/** An output that a low pin switches on: its stage is not known, only what the chip holds the pin at. */
function invertedOn(
  context: RuleContext,
  { reading, pin }: PinUse,
  output: Output,
  reset: NonNullable<BoardPin['resetState']>,
): On | undefined {
  const facts = [reset, output.inverting];
  if (reset.value === 'pullUp') return { extent: 'none', text: 'the chip itself holds the pin high', facts };
  if (reset.value === 'pullDown')
    return { extent: 'all', text: `the chip holds ${pin} low, and low switches this output on`, facts };
  if (output.gateUnheld?.value)
    return { extent: 'all', text: 'nothing holds its input', facts, floats: true };
  context.need<unknown>(
    undefined,
    reading,
    `Nothing in the chip holds ${pin} while the board starts, and low switches ${output.name} on. If nothing on the board holds it either, say so ("outputs.${output.name}.gateUnheld": true).`,
  );
  return undefined;
}

function report(
  context: RuleContext,
  use: PinUse,
  on: On,
  verdict: Verdict,
  zone: Zone | undefined,
  facts: readonly (Fact<unknown> | undefined)[],
): void {
  const { reading } = use;
  const { bootTime } = context.machine.board ?? {};
  const device = deviceWords(use);
  const boot = bootTime ? ` (${formatInterval(bootTime.value, 'time')})` : '';
  const harmless = severityOf(use) === 'info';
  const heat = zone && heatUp(context, zone);
  const rise = heat
    ? `: about ${formatNumber(heat.kelvin, 2)} °C each restart, without end if it hangs in its loader`
    : '';
  const sure = on.floats ? 'may be on' : hedged(verdict, 'may be on', 'may be on on some days');
  const firm = isHeater(use) || /^(?:spindle|laser)\./.test(reading.concept.id);
  context.report({
    severity: firm ? verdict.severity : atMost(verdict.severity, severityOf(use)),
    place: reading.place,
    concept: reading.concept.id,
    message: `While the board starts${boot} ${on.text}. ${device.charAt(0).toUpperCase()}${device.slice(1)} ${sure}${rise}${harmless ? ', which harms nothing' : ''}.${estimateNote(facts)}`,
    causes: causesOf(context, reading.place, [...facts, bootTime, ...(heat?.facts ?? [])]),
    caution: firm ? CAUTION : undefined,
    remedies: [
      inWords(holdOff(use, zone)),
      // Behind a module that a held-off output switches on, such an output is no better.
      ...(zone?.heater?.externalSwitch?.inverting?.value ? [] : betterOutputs(context, use)),
    ],
  });
}

function holdOff({ output, pin }: PinUse, zone: Zone | undefined): string {
  const name = output?.name ?? 'this output';
  if (zone?.heater?.externalSwitch?.inverting?.value)
    return `Use a module that is off while ${name} is, then note it on the machine sheet`;
  return output?.inverting?.value
    ? `Fit 4.7 kΩ from ${pin} to the logic supply, which holds ${name} off, then note it in the board profile ("pins.${pin}.resetState": "pullUp")`
    : `Fit 10 kΩ from gate to source at ${name}, then note it in the board profile`;
}

/** K that the heater gains while the board starts: all of the energy in its heat capacity. */
function heatUp(
  { machine }: RuleContext,
  { heater, output, wiredOutput }: Zone,
): { kelvin: number; facts: Fact<unknown>[] } | undefined {
  const time = machine.board?.bootTime;
  const { heatCapacity, ratedPower, ratedVoltage, resistance, externalSwitch } = heater ?? {};
  const volts = heater?.voltage ?? (wiredOutput ?? output)?.voltage ?? machine.supplyVoltage;
  const ohms =
    resistance?.value.nom ??
    (ratedPower && ratedVoltage && resistanceOfRating(ratedVoltage.value.nom, ratedPower.value.nom));
  if (!time || !heatCapacity || !volts || !ohms || (externalSwitch && !heater?.voltage)) return undefined;
  const kelvin = losslessRate(heatCapacity.value.nom, powerOf(volts.value.nom, ohms)) * time.value.nom;
  return { kelvin, facts: [heatCapacity, volts] };
}

/** Free outputs whose gate is held off. */
function betterOutputs({ machine }: RuleContext, use: PinUse) {
  const { board, pinUses } = machine;
  const free = [...(board?.outputs.values() ?? [])].filter(
    (output) =>
      output.pin &&
      output.gatePullDown &&
      output.gatePullDown.value.hi <= 10_000 &&
      (output.maxCurrent?.value.nom ?? 0) >= (use.output?.maxCurrent?.value.nom ?? 0) &&
      (output.inverting?.value ?? false) === (use.output?.inverting?.value ?? false) &&
      (output.kind?.value ?? 'transistor') === (use.output?.kind?.value ?? 'transistor') &&
      !deviceIn(machine, output.name) &&
      !pinUses.some((other) => other.output === output),
  );
  const [first] = free;
  if (!first) return [];
  const current = first.maxCurrent
    ? `, made for ${formatQuantity(first.maxCurrent.value.nom, 'current')}`
    : '';
  return [
    inWords(
      `Or move ${deviceWords(use)} to ${first.name} (${first.pin?.value}${current}), whose gate is held off`,
    ),
  ];
}
