import { inputLimits } from '../../machine/inputLimits';
import { stateLevel } from '../../machine/levels';
import type { Machine } from '../../machine/machine';
import type { Wire } from '../../machine/sheet';
import { derive, type Fact, type NumberFact } from '../../model/fact';
import { interval, point, scale } from '../../model/interval';
import { networkOf } from '../../physics/inputCorners';
import { holdingResistance } from '../../physics/inputEdge';
import { highMargin, lowMargin } from '../../physics/logic';
import { coupledSpike } from '../../physics/rc';
import { formatQuantity } from '../../units';
import { causesOf, inWords, nameOf, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { circuitFacts, type Subject, sensedInputs } from './circuits';
import { exampleBoard } from './example';
import { approaches, overrunOf } from './overrun';

const settings = (mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL UP
#define ENDSTOP_X_LOW_DEBOUNCE_MS 0${mark}`;
const sheet = `
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "sensors": { "x": { "watches": "endstop.x.low", "connector": "J1", "kind": "contact", "contact": "NO", "joins": "0 V" } },
  "wires": { "x stop": { "serves": "sensors.x", "length": "1.2 m", "besideMotor": true } }
}`;

export default defineRule({
  id: 'inputs/weak-pull-long-wire',
  title: "Motor edges reach an endstop's wire",
  what: 'Estimates the spike that a motor wire couples into an endstop wire beside it and compares it with what the level has to spare.',
  why: 'A spike over the threshold reads as a hit for a moment: homing stops in mid-travel, or a job does.',
  formula:
    'V_spike = (V_edge/t_r)·R·Cc·(1 − e^(−t_r/(R·Ct))), Ct = Cc + C_cable + C_filter, R what holds the wire; against V_rest − VIH, or VIL − V_rest.',
  source:
    'A ramp into an RC high-pass (circuit theory). The couplings are guesses: common practice, no source.',
  severity: ['info', 'hint'],
  bad: [
    `${settings('\n                                  ^ inputs/weak-pull-long-wire: by about 2.2 V; 0.99 V')}${exampleBoard('"fitted": []')}${sheet}`,
  ],
  good: [
    `${settings()}${exampleBoard('"fitted": [{ "part": "filter", "capacitance": "10 nF" }]')}${sheet}`,
    `${settings()}${exampleBoard('"fitted": []')}${sheet.replace('true', 'false')}`,
  ],
  check(context) {
    if (!context.machine.sheet) return;
    for (const subject of sensedInputs(context)) checkInput(context, subject);
  },
});

function checkInput(context: RuleContext, subject: Subject): void {
  const { input, pin } = subject;
  const name = input.sensor?.name;
  const about = input.reading('debounce') ?? input.reading('pull') ?? pin;
  const wire = name === undefined ? undefined : wireOf(context.machine, name);
  if (wire?.shielded?.value || wire?.besideMotor?.value === false) return;
  const length = context.need(
    wire?.length,
    about,
    `How long is the wire of ${input.title}, and does it run beside motor wires? Add it to the machine sheet ("wires" with "serves": "sensors.${name}", "length", "besideMotor").`,
  );
  if (!wire || !length) return;
  const beside = context.need(
    wire.besideMotor,
    about,
    `Does the wire of ${input.title} run in one bundle with motor wires ("wires.${wire.name}.besideMotor")?`,
  );
  const supply = context.need(
    context.machine.supplyVoltage,
    about,
    'Add the voltage of the main supply ("supply.voltage") to the machine sheet: motor wires jump by it.',
  );
  if (!beside?.value || !supply) return;
  const noise = noiseOf(context.machine, wire, length, supply);
  if (!noise) return;
  const worst = (['rest', 'pressed'] as const)
    .flatMap((state) => spikeIn(subject, state, noise) ?? [])
    .sort((a, b) => b.spike / b.margin - a.spike / a.margin)[0];
  if (!worst) return;
  const debounce = input.number('debounce');
  const facts = [length, beside, supply, ...noise.facts, ...circuitFacts(subject), debounce];
  const causes = causesOf(context, about.place, facts);
  const volts = formatQuantity(worst.spike, 'voltage', { digits: 2 });
  const margin = formatQuantity(worst.margin, 'voltage', { digits: 2 });
  if (worst.spike <= worst.margin) {
    context.agree({
      place: about.place,
      message: `A motor edge may push this wire by about ${volts}; ${margin} would be needed for a false hit (estimated).`,
      causes,
    });
    return;
  }
  // A spike is gone after a few time constants; what the firmware waits longer than that it does not see.
  const lasts = 3 * worst.ohms * noise.total(subject);
  if (debounce && debounce.value.lo > lasts) {
    context.agree({
      place: about.place,
      message: `A motor edge may push this wire by about ${volts}, over the ${margin} that the level has to spare; the debounce time hides it (estimated).`,
      causes,
    });
    return;
  }
  const { filter } = subject.circuit;
  const bare = debounce !== undefined && debounce.value.hi === 0 && !filter;
  const pull = worst.ohms > STRONG ? ' A stronger pull-up helps little;' : '';
  context.report({
    severity: bare ? 'info' : 'hint',
    place: about.place,
    concept: about.concept.id,
    message: `Each motor edge can push the wire of ${input.title} by about ${volts}; ${margin} is enough for a false hit.${pull}${pull ? ' a' : ' A'} 10 nF capacitor at the board cures it. The couplings are estimated.`,
    causes,
    remedies: remediesOf(context, subject, lasts),
    root: about.place,
  });
}

/** Ω below which a pull-up is already as strong as they come. Common practice, no source. */
const STRONG = 10_000;

const wireOf = ({ sheet }: Machine, sensor: string): Wire | undefined =>
  [...(sheet?.wires.values() ?? [])].find(({ serves }) => serves?.value === `sensors.${sensor}`);

interface Noise {
  readonly edge: number;
  readonly rise: number;
  readonly coupling: number;
  /** F on the wire with what is fitted at the input. */
  total(subject: Subject): number;
  readonly facts: readonly (Fact<unknown> | undefined)[];
}

function noiseOf(machine: Machine, wire: Wire, length: NumberFact, supply: NumberFact): Noise | undefined {
  const usual = inputLimits().wire;
  const metres = length.value.nom;
  const overLength = (fact: NumberFact | undefined): NumberFact | undefined =>
    fact && derive(fact, scale(fact.value, metres));
  const coupling = wire.coupling ?? overLength(usual?.couplingOfOneMetre);
  const cable = wire.capacitance ?? overLength(usual?.capacitanceOfOneMetre);
  const rise = fastestEdge(machine) ?? usual?.motorEdge;
  if (!coupling || !cable || !rise) return undefined;
  return {
    edge: supply.value.nom,
    rise: rise.value.nom,
    coupling: coupling.value.nom,
    total: ({ circuit }) => coupling.value.nom + cable.value.nom + (circuit.filter?.farads.nom ?? 0),
    facts: [coupling, cable, rise],
  };
}

/** The quickest output of the machine's drivers. */
function fastestEdge({ axes }: Machine): NumberFact | undefined {
  const edges = axes.flatMap(({ drivers }) => drivers.flatMap(({ family }) => family?.outputEdgeTime ?? []));
  return edges.sort((a, b) => a.value.lo - b.value.lo)[0];
}

interface Spike {
  readonly spike: number;
  readonly margin: number;
  readonly ohms: number;
}

/** The spike toward the threshold, and what a level has to spare; nothing for a state without a sure level. */
function spikeIn(subject: Subject, state: 'rest' | 'pressed', noise: Noise): Spike | undefined {
  const { circuit } = subject;
  const { level } = stateLevel(circuit, state);
  const volts = circuit.solve(state).pin;
  if (!level || !volts || !circuit.sensor) return undefined;
  const thresholds = { vil: circuit.vil.value.nom, vih: circuit.vih.value.nom };
  const margin = level === 'high' ? highMargin(volts.nom, thresholds) : lowMargin(volts.nom, thresholds);
  if (!(margin > 0)) return undefined;
  const network = networkOf(circuit.facts, circuit.sensor, state, (value) => value.nom);
  const wireAt = circuit.solve(state).nominal.connector;
  const toward = level === 'high' ? wireAt - margin : wireAt + margin;
  const ohms = holdingResistance(network, 'connector', toward);
  const spike = coupledSpike(noise.edge, noise.rise, ohms, noise.coupling, noise.total(subject));
  return { spike, margin, ohms };
}

const DEBOUNCE = 0.002;

function remediesOf(context: RuleContext, subject: Subject, lasts: number): Remedy[] {
  const { input } = subject;
  const filter = inWords(
    'Fit a 10 nF capacitor from the signal to 0 V at the board, or lay a shielded wire, and note it on the sheet',
  );
  const reading = input.reading('debounce');
  if (!reading || lasts >= DEBOUNCE) return [filter];
  const title = `Set ${nameOf(reading)} to ${formatQuantity(DEBOUNCE, 'time')}: spikes are shorter`;
  return runsTooFar(context.machine, subject)
    ? [filter]
    : [filter, ...setSetting(context, reading, { si: DEBOUNCE }, { title })];
}

/** Whether an axis would run on too far after the click with the longer debounce. */
function runsTooFar(machine: Machine, { input }: Subject): boolean {
  const debounce: NumberFact = { value: point(DEBOUNCE), quality: 'assumed', label: 'longer debounce' };
  return approaches(machine).some((approach) => {
    if (approach.input.id !== input.id) return false;
    const most = input.sensor?.overtravel ?? approach.axis.sheet?.travelStopBehindSwitch;
    const way = overrunOf(approach, debounce)?.way ?? interval(0, 0);
    return most !== undefined && way.hi > 0.5 * most.value.lo;
  });
}
