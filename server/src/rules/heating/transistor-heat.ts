import type { Output } from '../../board/profile';
import type { Branch } from '../../machine/branch';
import type { NumberFact } from '../../model/fact';
import { type Interval, over, point } from '../../model/interval';
import { junctionTemperature } from '../../physics/mosfet';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { aboutOf, amperes, hasRange, overloadRoot, sumOf, volts, watts } from '../branchFacts';
import {
  capitalised,
  causesOf,
  estimateNote,
  exceeds,
  inWords,
  judgeSteps,
  listed,
  setSetting,
} from '../kit';
import { marked } from '../marked';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (onResistance: string, frequency: number, finding?: string) => {
  const pin = '#define BED_HEATER_PIN P9';
  return `
//- settings.h
${finding ? marked(pin, 'P9', finding) : pin}
#define BED_HEATER_PWM_FREQUENCY_HZ ${frequency}
//- b.board.json
{
  "name": "B",
  "outputs": {
    "OUT1": {
      "pin": "P9", "kind": "transistor", "rDsOn": "${onResistance}", "rDsOnAtGateVoltage": "4.5 V", "gateVoltage": "5 V",
      "junctionToAmbient": "40 K/W", "junctionMax": "175 °C", "edgeTime": "2 µs"
    }
  }
}
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω", "output": "OUT1" } } }`;
};

/** °C in an electronics box that the sheet says nothing of; common practice. */
const INSIDE = 50;
/** °C of margin under the limits of 150 and 175 °C; common practice. */
const MARGIN = 125;
/** °C that no such transistor stands: the limit of the hardiest families, for parts whose sheet is not stated. */
const HARDIEST = 175;
/** Hz at which switching loss no longer counts and a heater still sees no steps; common practice. */
const SLOW = 10;

export default defineRule({
  id: 'heating/transistor-heat',
  title: 'The transistor of a heater output runs hot',
  what: 'Computes what the transistor turns into heat at full power, and how hot it gets as it is cooled on the board.',
  why: 'A transistor near its limit ages fast, and when it fails it usually fails switched on.',
  formula: 'P = I²·R_DS(on)·1.5 + ½·V·I·(t_r + t_f)·f; T_j = T_inside + P·R_thJA',
  source:
    'Power-transistor data sheets: R_DS(on) hot about 1.5 × its 25 °C value, limit 150 or 175 °C. 125 °C and 50 °C inside: common practice.',
  severity: ['error', 'warning', 'info'],
  caution:
    'Fire hazard: a shorted transistor heats without end. Only something in the power wire can stop that.',
  bad: [example('11 mΩ', 1000, 'heating/transistor-heat: makes 2.94 W and runs at about 167 °C')],
  good: [example('4.2 mΩ', 10)],
  check(context) {
    const groups = new Map<Output, Branch[]>();
    for (const branch of context.machine.branches) {
      const { output, externalSwitch, source } = branch;
      if (!output || externalSwitch || source === 'mains' || !isTransistor(output)) continue;
      groups.set(output, [...(groups.get(output) ?? []), branch]);
    }
    for (const [output, branches] of groups)
      if (branches.some(({ kind }) => kind === 'heater')) checkOutput(context, output, branches);
  },
});

const isTransistor = ({ kind, rDsOn }: Output): boolean =>
  kind ? kind.value === 'transistor' || kind.value === 'optoTransistor' : rDsOn !== undefined;

function checkOutput(context: RuleContext, output: Output, branches: readonly Branch[]): void {
  const [first] = branches;
  const about = first && aboutOf(first);
  const place = first?.reading?.place ?? first?.place;
  if (!first || !about || !place) return;
  const currents: NumberFact[] = [];
  for (const branch of branches) {
    const current = context.need(branch.current, about, branch.missing.get('current') ?? '');
    if (!current) return;
    currents.push(current);
  }
  const onResistance = onResistanceOf(context, output, about);
  if (!onResistance) return;
  const cooling = context.need(
    output.junctionToAmbient,
    about,
    `How is the transistor of ${output.name} cooled? Add its thermal resistance to the air ("outputs.${output.name}.junctionToAmbient") to the board profile.`,
  );
  if (!cooling) return;
  const frequency = frequencyOf(context, branches);
  judgeOutput(context, {
    output,
    branches,
    place,
    current: sumOf(currents.map(({ value }) => value)),
    onResistance,
    cooling,
    frequency,
  });
}

/** The on-resistance at the gate voltage that this board really gives; with less the figure says nothing. */
function onResistanceOf(
  context: RuleContext,
  output: Output,
  about: Reading | (Branch['place'] & object),
): NumberFact | undefined {
  const { name, rDsOn, rDsOnAtGateVoltage, kind } = output;
  const path = `"outputs.${name}`;
  const found = context.need(
    rDsOn,
    about,
    `Add the on-resistance of ${name}'s transistor (${path}.rDsOn") and the gate voltage it holds for (${path}.rDsOnAtGateVoltage") to the board profile.`,
  );
  const stated =
    found &&
    context.need(
      rDsOnAtGateVoltage,
      about,
      `Add the gate voltage for which the on-resistance of ${name} holds (${path}.rDsOnAtGateVoltage") to the board profile.`,
    );
  if (!found || !stated) return undefined;
  // Behind a driver or an optocoupler the gate gets something else than the logic's voltage.
  const gate =
    output.gateVoltage ?? (kind?.value === 'transistor' ? context.machine.logicVoltage : undefined);
  const real = context.need(
    gate,
    about,
    `Add what the gate of ${name} really gets (${path}.gateVoltage") to the board profile.`,
  );
  if (!real) return undefined;
  if (!exceeds(stated.value.nom, real.value.nom)) return found;
  context.need(
    undefined,
    about,
    `The on-resistance of ${name} holds for ${volts(stated.value.nom)} at its gate, but it gets ${volts(real.value.nom)}. Add the figure for ${volts(real.value.nom)} or less (${path}.rDsOn", ${path}.rDsOnAtGateVoltage").`,
  );
  return undefined;
}

/** The heater's own frequency, when all heaters of the output have one. */
function frequencyOf(
  { machine }: RuleContext,
  branches: readonly Branch[],
): { reading: Reading; fact: NumberFact } | undefined {
  for (const { heater, reading } of branches) {
    const zone = machine.zones.find(
      (one) => one.zone === heater?.zone?.value || (reading && one.reading('heater.pin') === reading),
    );
    const [found, fact] = [zone?.reading('heater.pwmFrequency'), zone?.number('heater.pwmFrequency')];
    if (found && fact) return { reading: found, fact };
  }
  return undefined;
}

interface Case {
  readonly output: Output;
  readonly branches: readonly Branch[];
  readonly place: NonNullable<Branch['place']>;
  readonly current: Interval;
  readonly onResistance: NumberFact;
  readonly cooling: NumberFact;
  readonly frequency?: { readonly reading: Reading; readonly fact: NumberFact };
}

function judgeOutput(context: RuleContext, it: Case): void {
  const { output, branches, place, onResistance, cooling, frequency } = it;
  const inside = context.machine.sheet?.insideAmbient;
  const { power, temperature } = heatAt(context, it, frequency?.fact.value);
  const limit = output.junctionMax?.value.lo ?? HARDIEST;
  const facts = [
    ...branches.flatMap((branch) => branch.facts),
    onResistance,
    cooling,
    ...(frequency ? [frequency.fact, output.edgeTime] : []),
    inside,
    output.junctionMax,
  ];
  const verdict = judgeSteps(
    temperature,
    [
      { above: limit, severity: 'error' },
      { above: Math.min(MARGIN, limit), severity: 'warning' },
    ],
    facts,
    { firm: hasRange(onResistance) && hasRange(cooling) },
  );
  const celsius = formatQuantity(temperature.nom, 'temperature', { digits: 3 });
  const causes = causesOf(context, place, facts);
  const whose = listed([...new Set(branches.map(({ title }) => title))]);
  if (!verdict || verdict.severity === 'hint') {
    const message = `The transistor of ${output.name} makes ${watts(power.nom)} and runs at about ${celsius}.`;
    context.agree({ place, message, causes });
    return;
  }
  const known = output.junctionMax ? `; its limit is ${formatQuantity(limit, 'temperature')}` : '';
  const runs = verdict.certain ? 'runs at about' : 'may get too hot: nominally';
  context.report({
    severity: verdict.severity,
    place,
    concept: branches[0]?.reading?.concept.id,
    message: `The transistor of ${output.name}, which carries ${amperes(it.current.nom)} to ${whose}, makes ${watts(power.nom)} and ${runs} ${celsius}${known}. It ages fast, and when it fails it usually fails switched on.${estimateNote(facts)}`,
    causes,
    remedies: remedies(context, it, temperature),
    root: overloadRoot(
      branches,
      overloaded(it) ? output.maxCurrent?.place : (onResistance.place ?? output.place),
    ),
  });
}

/** The output itself is too weak for its load: one cause with heating/output-overload. */
const overloaded = ({ output, current }: Case): boolean =>
  output.maxCurrent !== undefined && exceeds(current.nom, output.maxCurrent.value.nom);

/** W and °C at full power over the corners of the facts; without a frequency the loss by switching is left out. */
function heatAt(
  context: RuleContext,
  it: Case,
  frequency: Interval | undefined,
): { power: Interval; temperature: Interval } {
  const { output, branches, current, onResistance, cooling } = it;
  const ambient = context.machine.sheet?.insideAmbient?.value ?? point(INSIDE);
  const edges = output.edgeTime?.value ?? point(0);
  const supply = branches[0]?.voltage?.value ?? point(0);
  const solve = (...[i, r, k, t, e, f, v]: number[]) =>
    junctionTemperature({
      current: i ?? 0,
      onResistance: r ?? 0,
      thermalResistance: k ?? 0,
      ambient: t ?? INSIDE,
      edges: e,
      frequency: f,
      volts: v,
    });
  // Supply and current go up and down together: the current has the supply's corners already.
  const values = [
    current,
    onResistance.value,
    cooling.value,
    ambient,
    edges,
    frequency ?? point(0),
    point(supply.nom),
  ];
  return {
    power: over(values, (...args) => solve(...args).power),
    temperature: over(values, (...args) => solve(...args).temperature),
  };
}

function remedies(context: RuleContext, it: Case, now: Interval): Remedy[] {
  const module = inWords(
    'Fit an external switch module with its own fuse and note it on the machine sheet ("externalSwitch"), or cool the transistor better',
  );
  const { frequency } = it;
  if (!frequency || frequency.fact.value.nom <= SLOW) return [module];
  const slow = heatAt(context, it, point(SLOW)).temperature;
  if (now.nom - slow.nom < 1) return [module];
  const celsius = formatQuantity(slow.nom, 'temperature', { digits: 3 });
  const saves = `saves switching loss: about ${celsius} instead`;
  if (exceeds(slow.hi, MARGIN))
    return [
      inWords(
        `${capitalised(frequency.reading.entry.name)} of ${SLOW} Hz ${saves}, which is not enough by itself`,
      ),
      module,
    ];
  return [...setSetting(context, frequency.reading, { si: SLOW }), module];
}
