/**
 * The network of an endstop or probe input: two nodes, connector and pin, joined by a series resistor (one node when it is
 * 0 Ω). Each branch is a voltage source behind a resistor or a current source; those that carry current one way only, the
 * limits of leakage and the pin's clamp make it piecewise linear. Volts, ohms, amperes.
 *
 * Source: nodal analysis; branch values from IEC 60947-5-2 (sensors) and microcontroller data sheets (pulls, clamps).
 */

/** Current into a node, `current − conductance·V`, while the node lies between `from` and `to`; or the node held at a voltage. */
interface Segment {
  readonly current: number;
  readonly conductance: number;
  readonly from: number;
  readonly to: number;
  /** Node held at `from` while the element takes between `least` and `most` amperes into the node. */
  readonly least?: number;
  readonly most?: number;
  /** Holds the node only while current is pressed into it; alone it sets no level. */
  readonly passive?: boolean;
}

type Element = readonly Segment[];

export type Node = 'connector' | 'pin';

/** A resistor toward a voltage. `sink` only takes current out of the node (a lamp toward 0 V), `source` only feeds it. */
export interface Pull {
  readonly at: Node;
  readonly volts: number;
  readonly ohms: number;
  readonly only?: 'sink' | 'source';
}

/** What the sensor does in one state. */
export type SensorBranch =
  /** Contact open, wire cut. */
  | { readonly kind: 'open' }
  | { readonly kind: 'contact'; readonly volts: number; readonly ohms: number; readonly diode?: number }
  | { readonly kind: 'npnOn'; readonly saturation: number; readonly ohms: number; readonly diode?: number }
  | { readonly kind: 'npnOff'; readonly leakage: number; readonly diode?: number }
  | { readonly kind: 'pnpOn'; readonly volts: number; readonly ohms: number }
  | { readonly kind: 'pnpOff'; readonly leakage: number; readonly supply: number }
  | { readonly kind: 'pushPull'; readonly volts: number; readonly ohms: number }
  | {
      readonly kind: 'opticalOn';
      readonly saturation: number;
      readonly ohms: number;
      readonly limit: number;
      readonly diode?: number;
    };

export interface Network {
  readonly pulls: readonly Pull[];
  /** Between connector and pin, Ω. */
  readonly series: number;
  /** Between the sensor's output and the connector, Ω: the upper resistor of a divider in the lead. Default 0. */
  readonly lead?: number;
  readonly sensor: SensorBranch;
  /** A pull-up or lamp inside the sensor; behind its series diode if there is one. */
  readonly sensorPull?: { readonly volts: number; readonly ohms: number };
  /** Voltages at which the pin's protection conducts; absent for pins without a clamp to the supply. */
  readonly clamp?: { readonly low: number; readonly high: number };
}

export interface Solution {
  /** Nothing sets the level; the voltages are NaN then. */
  readonly floating: boolean;
  readonly connector: number;
  readonly pin: number;
  /** Amperes into the pin's clamp: positive above the supply, negative below 0 V, 0 while it does not conduct. */
  readonly injected: number;
}

const ALL = { from: Number.NEGATIVE_INFINITY, to: Number.POSITIVE_INFINITY };
const NOTHING: Element = [{ current: 0, conductance: 0, ...ALL }];

const resistive = (volts: number, ohms: number): Element => [
  { current: volts / ohms, conductance: 1 / ohms, ...ALL },
];

/** Takes current out of the node above `volts`. */
const sink = (volts: number, ohms: number): Element => [
  { current: volts / ohms, conductance: 1 / ohms, from: volts, to: Number.POSITIVE_INFINITY },
  { current: 0, conductance: 0, from: Number.NEGATIVE_INFINITY, to: volts },
];

/** Feeds the node below `volts`. */
const source = (volts: number, ohms: number): Element => [
  { current: volts / ohms, conductance: 1 / ohms, from: Number.NEGATIVE_INFINITY, to: volts },
  { current: 0, conductance: 0, from: volts, to: Number.POSITIVE_INFINITY },
];

/** Takes `amperes` out of the node, which it cannot draw below `floor`. */
const drain = (amperes: number, floor: number): Element =>
  amperes === 0
    ? NOTHING
    : [
        { current: -amperes, conductance: 0, from: floor, to: Number.POSITIVE_INFINITY },
        { current: 0, conductance: 0, from: floor, to: floor, least: -amperes, most: 0 },
        { current: 0, conductance: 0, from: Number.NEGATIVE_INFINITY, to: floor },
      ];

/** Feeds `amperes` into the node, which it cannot lift above `ceiling`. */
const feed = (amperes: number, ceiling: number): Element =>
  amperes === 0
    ? NOTHING
    : [
        { current: amperes, conductance: 0, from: Number.NEGATIVE_INFINITY, to: ceiling },
        { current: 0, conductance: 0, from: ceiling, to: ceiling, least: 0, most: amperes },
        { current: 0, conductance: 0, from: ceiling, to: Number.POSITIVE_INFINITY },
      ];

/** A sink that takes at most `limit` amperes. */
const limitedSink = (volts: number, ohms: number, limit: number): Element => [
  { current: 0, conductance: 0, from: Number.NEGATIVE_INFINITY, to: volts },
  { current: volts / ohms, conductance: 1 / ohms, from: volts, to: volts + limit * ohms },
  { current: -limit, conductance: 0, from: volts + limit * ohms, to: Number.POSITIVE_INFINITY },
];

const clampElement = ({ low, high }: { low: number; high: number }): Element => [
  { current: 0, conductance: 0, from: low, to: high },
  {
    current: 0,
    conductance: 0,
    from: high,
    to: high,
    least: Number.NEGATIVE_INFINITY,
    most: 0,
    passive: true,
  },
  { current: 0, conductance: 0, from: low, to: low, least: 0, most: Number.POSITIVE_INFINITY, passive: true },
];

/** Two sources that meet at the sensor's output, seen as one. */
function thevenin(volts: number, ohms: number, pull: Network['sensorPull']): { volts: number; ohms: number } {
  if (!pull) return { volts, ohms };
  const conductance = 1 / ohms + 1 / pull.ohms;
  return { volts: (volts / ohms + pull.volts / pull.ohms) / conductance, ohms: 1 / conductance };
}

function sensorElements(sensor: SensorBranch, pull: Network['sensorPull']): Element[] {
  const diode = 'diode' in sensor ? sensor.diode : undefined;
  if (diode !== undefined) return behindDiode(sensor, diode, pull);
  const own = pull ? [resistive(pull.volts, pull.ohms)] : [];
  switch (sensor.kind) {
    case 'open':
      return own;
    case 'contact':
    case 'pushPull':
      return [resistive(sensor.volts, sensor.ohms), ...own];
    case 'npnOn':
      return [sink(sensor.saturation, sensor.ohms), ...own];
    case 'npnOff':
      return [drain(sensor.leakage, 0), ...own];
    case 'pnpOn':
      return [source(sensor.volts, sensor.ohms), ...own];
    case 'pnpOff':
      return [feed(sensor.leakage, sensor.supply), ...own];
    case 'opticalOn':
      return [limitedSink(sensor.saturation, sensor.ohms, sensor.limit), ...own];
  }
}

/** A diode toward the sensor lets it take current only, above its drop; it keeps the sensor's own pull-up from the input. */
function behindDiode(sensor: SensorBranch, drop: number, pull: Network['sensorPull']): Element[] {
  switch (sensor.kind) {
    case 'contact': {
      const seen = thevenin(sensor.volts, sensor.ohms, pull);
      return [sink(seen.volts + drop, seen.ohms)];
    }
    case 'npnOn': {
      const seen = thevenin(sensor.saturation, sensor.ohms, pull);
      return [sink(seen.volts + drop, seen.ohms)];
    }
    case 'npnOff':
      return leaking(sensor.leakage, drop, pull);
    case 'opticalOn':
      return [limitedBehindDiode(sensor, drop, pull)];
    default:
      return [];
  }
}

/** What is left of the leakage when the sensor's own pull-up has fed it comes out of the input. */
function leaking(leakage: number, drop: number, pull: Network['sensorPull']): Element[] {
  if (!pull) return [drain(leakage, drop)];
  const output = pull.volts - leakage * pull.ohms;
  if (output >= 0) return [sink(output + drop, pull.ohms)];
  return [drain(leakage - pull.volts / pull.ohms, drop), sink(drop, pull.ohms)];
}

/** A limited output behind a diode: blocked, then like a resistor, then its limit less what the pull-up supplies. */
function limitedBehindDiode(
  { saturation, ohms, limit }: Extract<SensorBranch, { kind: 'opticalOn' }>,
  drop: number,
  pull: Network['sensorPull'],
): Element {
  if (!pull) return limitedSink(saturation + drop, ohms, limit);
  const saturated = saturation + limit * ohms;
  const free = pull.volts - limit * pull.ohms;
  // Even alone the pull-up brings more than the output takes.
  if (free >= saturated) return sink(free + drop, pull.ohms);
  const seen = thevenin(saturation, ohms, pull);
  const [from, to] = [seen.volts + drop, saturated + drop];
  return [
    { current: 0, conductance: 0, from: Number.NEGATIVE_INFINITY, to: from },
    { current: from / seen.ohms, conductance: 1 / seen.ohms, from, to },
    {
      current: (free + drop) / pull.ohms,
      conductance: 1 / pull.ohms,
      from: to,
      to: Number.POSITIVE_INFINITY,
    },
  ];
}

const FLOATING: Solution = { floating: true, connector: Number.NaN, pin: Number.NaN, injected: 0 };

/** Solves one network exactly. `floating` when no branch sets a level (or a value is not a number). */
export function solve(network: Network): Solution {
  const sensor = sensorElements(network.sensor, network.sensorPull);
  const connector: Element[] = [];
  const pin: Element[] = network.clamp ? [clampElement(network.clamp)] : [];
  for (const pull of network.pulls) {
    const shape = pull.only === 'sink' ? sink : pull.only === 'source' ? source : resistive;
    (pull.at === 'pin' ? pin : connector).push(shape(pull.volts, pull.ohms));
  }
  const chain = join([sensor, connector, pin], [network.lead ?? 0, network.series]);
  const solved = solveChain(chain);
  if (!solved) return FLOATING;
  const { volts, amperes } = solved;
  const vp = volts[volts.length - 1] as number;
  const vc = volts[chain.place[1] as number] as number;
  const clamped = network.clamp && (vp === network.clamp.high || vp === network.clamp.low);
  return {
    floating: false,
    connector: vc,
    pin: vp,
    injected: clamped ? (amperes[amperes.length - 1] as number) : 0,
  };
}

/** Nodes in a row with a conductance between each and the next. */
interface Chain {
  readonly nodes: readonly (readonly Element[])[];
  readonly links: readonly number[];
  /** Where each of the nodes given went. */
  readonly place: readonly number[];
}

/** Nodes joined by 0 Ω are one. */
function join(nodes: readonly (readonly Element[])[], ohms: readonly number[]): Chain {
  const joined: Element[][] = [];
  const links: number[] = [];
  const place: number[] = [];
  for (const [index, elements] of nodes.entries()) {
    const between = index === 0 ? undefined : (ohms[index - 1] as number);
    if (between === undefined || between > 0) {
      joined.push([]);
      if (between !== undefined) links.push(1 / between);
    }
    (joined[joined.length - 1] as Element[]).push(...elements);
    place.push(joined.length - 1);
  }
  return { nodes: joined, links, place };
}

interface Sum {
  readonly current: number;
  readonly conductance: number;
  readonly from: number;
  readonly to: number;
  readonly least: number;
  readonly most: number;
  readonly held: boolean;
  readonly passive: boolean;
}

/** Every combination of a node's segments that has a common range of voltage. */
function combinations(elements: readonly Element[]): Sum[] {
  let sums: Sum[] = [{ current: 0, conductance: 0, ...ALL, least: 0, most: 0, held: false, passive: false }];
  for (const element of elements) {
    const next: Sum[] = [];
    for (const sum of sums) {
      for (const segment of element) {
        const from = Math.max(sum.from, segment.from);
        const to = Math.min(sum.to, segment.to);
        if (from > to) continue;
        next.push({
          current: sum.current + segment.current,
          conductance: sum.conductance + segment.conductance,
          from,
          to,
          least: sum.least + (segment.least ?? 0),
          most: sum.most + (segment.most ?? 0),
          held: sum.held || segment.least !== undefined,
          passive: sum.passive || segment.passive === true,
        });
      }
    }
    sums = next;
  }
  return sums;
}

/** Rounding must not make the only right combination look wrong. */
const VOLT_SLACK = 1e-9;
const AMPERE_SLACK = 1e-12;

/** Tries the combinations of all nodes until one agrees with its own ranges; the network is monotone, so one at most does. */
function solveChain(chain: Chain): { volts: readonly number[]; amperes: readonly number[] } | undefined {
  let rows: Sum[][] = [[]];
  for (const elements of chain.nodes) {
    const sums = combinations(elements);
    rows = rows.flatMap((row) => sums.map((sum) => [...row, sum]));
  }
  return firstAgreeing(rows, chain.links, AMPERE_SLACK) ?? firstAgreeing(rows, chain.links, -1);
}

/** The first combination that agrees with itself; passive elements must take more than `least` amperes to hold a node. */
function firstAgreeing(
  rows: readonly Sum[][],
  links: readonly number[],
  least: number,
): { volts: readonly number[]; amperes: readonly number[] } | undefined {
  for (const row of rows) {
    const volts = nodeVoltages(row, links);
    if (!volts) continue;
    const amperes = row.map((sum, node) => surplus(sum, node, volts, links));
    if (row.some((sum, node) => sum.passive && !(Math.abs(amperes[node] as number) > least))) continue;
    if (row.every((sum, node) => agrees(sum, volts[node] as number, amperes[node] as number)))
      return { volts, amperes };
  }
  return undefined;
}

/** Amperes that the branches and neighbours of a node press into it; 0 unless it is held. */
function surplus(sum: Sum, node: number, volts: readonly number[], links: readonly number[]): number {
  const v = volts[node] as number;
  let amperes = sum.current - sum.conductance * v;
  if (node > 0) amperes += (links[node - 1] as number) * ((volts[node - 1] as number) - v);
  if (node < links.length) amperes += (links[node] as number) * ((volts[node + 1] as number) - v);
  return sum.held ? amperes : 0;
}

function agrees(sum: Sum, volts: number, amperes: number): boolean {
  if (!(volts >= sum.from - VOLT_SLACK && volts <= sum.to + VOLT_SLACK)) return false;
  return !sum.held || (-amperes >= sum.least - AMPERE_SLACK && -amperes <= sum.most + AMPERE_SLACK);
}

/** A resistor or an active element that holds a node sets the level; a clamp only where a current presses into it. */
function setsLevel(row: readonly Sum[]): boolean {
  if (row.some((sum) => sum.conductance > 0 || (sum.held && !sum.passive))) return true;
  return row.some((sum) => sum.passive) && row.some((sum) => sum.current !== 0);
}

/** Nodal analysis of a chain, by elimination from the first node on; undefined when nothing sets a level. */
function nodeVoltages(row: readonly Sum[], links: readonly number[]): number[] | undefined {
  if (!setsLevel(row)) return undefined;
  // Each node as seen from the next one: a source `current/conductance`, or a fixed voltage.
  const seen: { current: number; conductance: number }[] = [];
  let left = { current: 0, conductance: 0 };
  for (const [node, sum] of row.entries()) {
    const own = { current: sum.current + left.current, conductance: sum.conductance + left.conductance };
    seen.push(own);
    const link = links[node];
    if (link === undefined) break;
    left = sum.held
      ? { current: link * sum.from, conductance: link }
      : {
          current: (own.current * link) / (own.conductance + link),
          conductance: (own.conductance * link) / (own.conductance + link),
        };
  }
  const volts: number[] = [];
  for (let node = row.length - 1; node >= 0; node--) {
    const sum = row[node] as Sum;
    const { current, conductance } = seen[node] as { current: number; conductance: number };
    const next = volts[0];
    const link = links[node];
    if (sum.held) volts.unshift(sum.from);
    else if (next === undefined || link === undefined) volts.unshift(current / conductance);
    else volts.unshift((current + link * next) / (conductance + link));
  }
  return volts.every(Number.isFinite) ? volts : undefined;
}
