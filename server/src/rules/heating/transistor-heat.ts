import type { Output } from '../../board/profile';
import type { Branch } from '../../machine/branch';
import { isSwitchHeat, isTransistor, type SwitchHeat, switchHeat } from '../../machine/switchHeat';
import { formatQuantity } from '../../units';
import { aboutOf, amperes, hasRange, overloadRoot, watts } from '../branchFacts';
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

function checkOutput(context: RuleContext, output: Output, branches: readonly Branch[]): void {
  const [first] = branches;
  const about = first && aboutOf(first);
  const place = first?.reading?.place ?? first?.place;
  if (!first || !about || !place) return;
  const heat = switchHeat(context.machine, output, branches);
  if (isSwitchHeat(heat)) judgeOutput(context, { ...heat, output, branches, place });
  else context.need(undefined, about, heat.question);
}

interface Case extends SwitchHeat {
  readonly output: Output;
  readonly branches: readonly Branch[];
  readonly place: NonNullable<Branch['place']>;
}

function judgeOutput(context: RuleContext, it: Case): void {
  const { output, branches, place, onResistance, cooling, frequency, power, temperature } = it;
  const inside = context.machine.sheet?.insideAmbient;
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
    remedies: remedies(context, it),
    root: overloadRoot(
      branches,
      overloaded(it) ? output.maxCurrent?.place : (onResistance.place ?? output.place),
    ),
  });
}

/** The output itself is too weak for its load: one cause with heating/output-overload. */
const overloaded = ({ output, current }: Case): boolean =>
  output.maxCurrent !== undefined && exceeds(current.nom, output.maxCurrent.value.nom);

function remedies(context: RuleContext, it: Case): Remedy[] {
  const module = inWords(
    'Fit an external switch module with its own fuse and note it on the machine sheet ("externalSwitch"), or cool the transistor better',
  );
  const { frequency, temperature: now } = it;
  if (!frequency || frequency.fact.value.nom <= SLOW) return [module];
  const slow = it.at(SLOW).temperature;
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
