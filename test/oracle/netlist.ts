import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { InputFacts, InputState, SensorModel } from '../../server/src/physics/inputCorners';
import { runTool } from '../kit/tools';

/** One input with its sensor in one state, nominal values. */
export interface Circuit {
  readonly title: string;
  readonly facts: InputFacts;
  readonly sensor: SensorModel;
  readonly state: InputState;
}

export interface Levels {
  readonly connector: number;
  readonly pin: number;
}

export interface Simulated {
  readonly plain: Levels;
  /** A into the clamp. */
  readonly injected: number;
  /** With a small current pressed into the pin, and drawn out of it. */
  readonly pushed: Levels;
  readonly pulled: Levels;
  /** With half of that current. */
  readonly halfPushed: Levels;
  readonly halfPulled: Levels;
}

/** An ideal diode, anode to cathode: 10 mΩ forward, 10 GΩ backward. */
const idealDiode = (name: string, anode: string, cathode: string, forward = 100): string =>
  `B${name} ${anode} ${cathode} I = V(${anode},${cathode}) > 0 ? V(${anode},${cathode})*${forward} : V(${anode},${cathode})*1e-10`;

/** A current source that stops within 0.1 mV of where it would drive its node past `end`. */
const leak = (name: string, amperes: number, node: string, toward: 'down' | 'up', end: number): string[] => {
  const distance = toward === 'down' ? `(V(${node})-(${end}))` : `((${end})-V(${node}))`;
  const nodes = toward === 'down' ? `${node} 0` : `0 ${node}`;
  // The iteration begins where the source stops; far from there a leakage without a load gives it no slope to follow.
  return [`B${name} ${nodes} I = ${amperes}*min(1,max(0,${distance}*1e4))`, `.nodeset v(${node})=${end}`];
};

/**
 * The parts of one input as a circuit of real elements: switches for contacts and outputs, ideal diodes, sources and
 * resistors. Nothing of the product's own solution is used.
 */
export function parts(circuit: Circuit, k: number, testCurrent: number): string[] {
  const { facts, sensor, state } = circuit;
  const lines: string[] = [];
  let count = 0;
  const name = (letter: string) => `${letter}${k}_${++count}`;
  const node = (letter: string) => `${letter}${k}`;
  const [s, c, p] = [node('s'), node('c'), node('p')];
  const resistor = (a: string, b: string, ohms: number) => lines.push(`R${name('r')} ${a} ${b} ${ohms}`);
  const supply = (volts: number): string => {
    const rail = name('n');
    lines.push(`V${name('v')} ${rail} 0 ${volts}`);
    return rail;
  };
  /** 0 Ω is a wire: a voltage source of 0 V. */
  const link = (a: string, b: string, ohms: number) =>
    ohms === 0 ? lines.push(`V${name('w')} ${a} ${b} 0`) : resistor(a, b, ohms);

  // The board.
  const logic = facts.logicVoltage.nom;
  link(c, p, facts.series.nom);
  for (const { at, volts, ohms, only } of facts.fitted) {
    const here = at === 'pin' ? p : c;
    const rail = supply(volts.nom);
    const far = name('n');
    resistor(here, only ? far : rail, ohms.nom);
    if (only === 'sink') lines.push(idealDiode(name('d'), far, rail));
    if (only === 'source') lines.push(idealDiode(name('d'), rail, far));
  }
  if (facts.innerPull) {
    resistor(p, supply(facts.innerPull.direction === 'up' ? logic : 0), facts.innerPull.ohms.nom);
  }
  lines.push(`Vh${k} ${node('kh')} 0 ${logic + 0.3}`, `Vl${k} ${node('kl')} 0 -0.3`);
  if (facts.clamp) {
    // Amperes may flow here; they must not lift the pin by a millivolt.
    lines.push(idealDiode(name('d'), p, node('kh'), 1e5), idealDiode(name('d'), node('kl'), p, 1e5));
  }
  // Without these the matrix of a floating pin, or of an unused rail, is singular.
  lines.push(
    `R${name('g')} ${p} 0 3e10`,
    `R${name('g')} ${node('kh')} 0 1e9`,
    `R${name('g')} ${node('kl')} 0 1e9`,
  );
  if (testCurrent !== 0) lines.push(`I${name('t')} 0 ${p} ${testCurrent}`);
  if (state === 'wireCut') return lines;

  // The sensor at node s, through its lead and series diode.
  const diode = 'diode' in sensor ? sensor.diode?.nom : undefined;
  const lead = facts.lead?.nom ?? 0;
  if (diode === undefined) {
    link(s, c, lead);
  } else {
    const [before, after] = [name('n'), name('n')];
    link(before, c, lead);
    lines.push(idealDiode(name('d'), before, after), `V${name('v')} ${after} ${s} ${diode}`);
  }
  lines.push(`R${name('g')} ${s} 0 3e10`);
  if ('pull' in sensor && sensor.pull) resistor(s, supply(sensor.pull.volts.nom), sensor.pull.ohms.nom);

  if (sensor.kind === 'pushPull') {
    const high = sensor.pressed === 'high' ? state === 'pressed' : state === 'rest';
    resistor(s, supply(high ? sensor.supply.nom - sensor.drop.nom : sensor.saturation.nom), 30);
    return lines;
  }
  const on = sensor.normally === 'open' ? state === 'pressed' : state === 'rest';
  if (sensor.kind === 'contact') {
    const gate = supply(on ? 1 : 0);
    lines.push(`S${name('s')} ${s} ${supply(sensor.closesTo.nom)} ${gate} 0 contact`);
  } else if (sensor.kind === 'pnp') {
    if (on) {
      const inner = name('n');
      lines.push(idealDiode(name('d'), supply(sensor.supply.nom - sensor.drop.nom), inner));
      resistor(inner, s, 10);
    } else if (sensor.leakage.nom > 0) {
      lines.push(...leak(name('l'), sensor.leakage.nom, s, 'up', sensor.supply.nom));
    }
  } else if (on) {
    const inner = name('n');
    resistor(s, inner, 10);
    const collector = name('n');
    lines.push(idealDiode(name('d'), inner, collector), `R${name('g')} ${inner} 0 3e10`);
    if (sensor.kind === 'npn') lines.push(`V${name('v')} ${collector} 0 ${sensor.saturation.nom}`);
    else {
      lines.push(...leak(name('l'), sensor.limit.nom, collector, 'down', sensor.saturation.nom));
      lines.push(`R${name('g')} ${collector} 0 3e10`);
    }
  } else {
    const leakage = sensor.leakage?.nom ?? 0;
    if (leakage > 0) lines.push(...leak(name('l'), leakage, s, 'down', 0));
  }
  return lines;
}

/** Operating points of separate circuits, all in one run of the simulator. */
export function simulate(circuits: readonly Circuit[]): Simulated[] {
  const folder = mkdtempSync(join(tmpdir(), 'fettle-spice-'));
  try {
    const script: string[] = ['.control', 'set numdgt=12'];
    for (const [k, circuit] of circuits.entries()) {
      for (const [run, current] of RUNS) {
        const file = join(folder, `${run}${k}.cir`);
        const lines = parts(circuit, k, current);
        writeFileSync(file, ['one input', ...SETTINGS, ...lines, '.end', ''].join('\n'));
        script.push(`source ${file}`, 'op', `echo ${run} ${k}`);
        for (const what of [`v(c${k})`, `v(p${k})`, `i(vh${k})`, `i(vl${k})`]) script.push(`print ${what}`);
        script.push('destroy all', 'remcirc');
      }
    }
    const file = join(folder, 'all.cir');
    writeFileSync(file, ['all inputs', ...script, 'quit 0', '.endc', '.end', ''].join('\n'));
    const values = readValues(runTool('ngspice', ['-b', file]));
    return circuits.map((circuit, k) => {
      const read = (run: string, what: string): number => {
        const value = values.get(`${run} ${k} ${what}${k})`);
        if (value === undefined || Number.isNaN(value))
          throw new Error(`${circuit.title}: ${run} ${what} not solved`);
        return value;
      };
      const levels = (run: string): Levels => ({ connector: read(run, 'v(c'), pin: read(run, 'v(p') });
      return {
        plain: levels('plain'),
        injected: circuit.facts.clamp ? read('plain', 'i(vh') + read('plain', 'i(vl') : 0,
        pushed: levels('pushed'),
        pulled: levels('pulled'),
        halfPushed: levels('halfPushed'),
        halfPulled: levels('halfPulled'),
      };
    });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A. Small beside every real branch, large beside the simulator's own leakages. */
const TEST_CURRENT = 1e-7;
const RUNS = [
  ['plain', 0],
  ['pushed', TEST_CURRENT],
  ['pulled', -TEST_CURRENT],
  ['halfPushed', TEST_CURRENT / 2],
  ['halfPulled', -TEST_CURRENT / 2],
] as const;

/** Model and tolerances of every run. */
export const SETTINGS = [
  '.model contact sw vt=0.5 vh=0 ron=0.1 roff=1e11',
  '.options reltol=1e-6 abstol=1e-10 vntol=1e-7 gmin=1e-13 itl1=1000',
];

/** The printed values by run, circuit and name. */
function readValues(output: string): Map<string, number> {
  const values = new Map<string, number>();
  let run = '';
  for (const line of output.split('\n')) {
    const title = /^(plain|pushed|pulled|halfPushed|halfPulled) \d+$/.exec(line.trim());
    if (title) run = title[0];
    const value = /^\s*([vi]\(\w+\)) = (\S+)/.exec(line);
    if (value) values.set(`${run} ${value[1]}`, Number(value[2]));
  }
  return values;
}
