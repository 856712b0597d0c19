import { type FuseType, fuseTypes } from '../../server/src/board/fuseTypes';
import * as fuse from '../../server/src/physics/fuse';
import * as heater from '../../server/src/physics/heater';
import { solve } from '../../server/src/physics/inputNetwork';
import { levelOf, ratiometric } from '../../server/src/physics/logic';
import * as mosfet from '../../server/src/physics/mosfet';
import * as supply from '../../server/src/physics/supply';
import * as thermal from '../../server/src/physics/thermal';
import * as trace from '../../server/src/physics/trace';
import * as wire from '../../server/src/physics/wire';
import { AtMost, type Checker, checkRows, published, type Reader, type Row } from './rows';
import { quantity, shipped } from './shipped';

checkRows('heater', [
  {
    id: /^heater\.\d+V\./,
    compute: (_, read) => ({
      current_a: heater.currentOf(read('v'), read('r')),
      power_w: heater.powerOf(read('v'), read('r')),
    }),
  },
  {
    id: /^heater\.\d+W\./,
    compute: (_, read) => ({
      current_a: heater.currentOfRating(read('v'), read('power_w')),
      r: heater.resistanceOfRating(read('v'), read('power_w')),
    }),
  },
  { id: /^heater\.doublevolt$/, compute: (_, read) => heater.powerRatio(read('v2'), read('v1')) },
  {
    id: /^heater\.pwm\.half$/,
    compute: (_, read) => {
      const { power, rms, peak } = heater.switched(read('v'), read('r'), read('duty'));
      return { power_w: power, i_rms: rms, i_peak: peak };
    },
  },
  {
    id: /^heater\.copperbed\./,
    compute: (_, read) => {
      const r = heater.copperHeater(read('r20'), read('t_c'), read('alpha'));
      return { r, current_a: heater.currentOf(read('v'), r), power_w: heater.powerOf(read('v'), r) };
    },
  },
]);

checkRows('mosfet', [
  {
    id: /^mosfet\.\d/,
    compute: (_, read) => {
      const power = mosfet.conductionLoss(read('i'), read('r_ds_on'));
      return { power_w: power, rise_k: mosfet.rise(power, read('r_th_ja')) };
    },
  },
  {
    id: /^mosfet\.hot\./,
    compute: (_, read) => {
      const rise = mosfet.settledRise(
        read('i'),
        read('r_ds_on_25'),
        read('r_th_ja'),
        read('tempco_per_k'),
        read('t_ambient'),
      );
      return { rise_k: rise, over_150C: read('t_ambient') + rise > 150 };
    },
  },
  {
    id: /^mosfet\.switching\./,
    compute: (_, read) => mosfet.switchingLoss(read('v'), read('i'), 2 * read('t_edge'), read('f')),
  },
]);

interface PublishedPower {
  readonly fuses: {
    bladeSizes: number[];
    points: {
      type: string;
      percent: number;
      opensWithin?: number;
      opensAfter?: number;
      holdsFor?: number;
    }[];
  };
  readonly chassisWiring: { current: Record<string, number> };
  readonly supplies: { derating: { from: number; perKelvin: number }; openFrameInCase: { share: number } };
}
const power = published('power') as PublishedPower;
const fusePoint = (type: string, read: Reader) =>
  power.fuses.points.find((point) => point.type === type && point.percent === read('percent'));

const share = (type: FuseType) => fuseTypes().get(type)?.continuousShare.value.nom ?? Number.NaN;

checkRows('fuse', [
  { id: /^fuse\.75\.\d+A$/, compute: (_, read) => fuse.continuousCurrent(read('rating_a'), share('ul')) },
  { id: /^fuse\.75\.rule$/, compute: () => share('ul') },
  {
    id: /^fuse\.min\./,
    compute: (_, read) => {
      const exact = fuse.smallestRating(read('load_a'), share('ul'));
      return { exact_a: exact, next_blade_a: fuse.nextRating(exact, power.fuses.bladeSizes) };
    },
  },
  { id: /^fuse\.ul\d+$/, compute: (_, read) => fusePoint('ul', read)?.opensWithin },
  {
    id: /^fuse\.iec210$/,
    compute: (_, read) => ({
      percent: fusePoint('iec', read)?.percent,
      max_time_s: fusePoint('iec', read)?.opensWithin,
    }),
  },
  { id: /^fuse\.blade110$/, compute: (_, read) => fusePoint('blade', read)?.holdsFor },
  {
    id: /^fuse\.blade135$/,
    compute: (_, read) => ({
      min_s: fusePoint('blade', read)?.opensAfter,
      max_s: fusePoint('blade', read)?.opensWithin,
    }),
  },
  { id: /^fuse\.ul\.iec\.factor$/, compute: () => fuse.ratingFactor(share('ul')) },
]);

checkRows('wire', [
  {
    id: /^wire\.awg\d+\.r$/,
    compute: (_, read) => 1000 * wire.resistancePerMetre(wire.gaugeArea(read('awg')), read('t_c')),
  },
  {
    id: /^wire\.awg\d+\.dia$/,
    compute: (_, read) => ({
      d_mm: 1e3 * wire.gaugeDiameter(read('awg')),
      area_mm2: 1e6 * wire.gaugeArea(read('awg')),
    }),
  },
  { id: /^wire\.awg\d+\.chassis$/, compute: (_, read) => power.chassisWiring.current[read('awg')] },
  {
    id: /^wire\.drop\./,
    compute: (_, read) => {
      const perMetre = wire.resistancePerMetre(wire.gaugeArea(read('awg')));
      const loss = wire.runLoss(perMetre, read('length_m'), read('i'));
      return { drop_v: loss.drop, power_w: loss.power };
    },
  },
  { id: /^wire\.copper\.rho$/, compute: () => wire.COPPER_RESISTIVITY },
  { id: /^wire\.copper\.\d+C$/, compute: (_, read) => wire.copperRatio(read('t_c'), read('alpha')) },
]);

const MIL = 25.4e-6;
const copper = (read: Reader): number => read('copper_oz') * trace.OUNCE_THICKNESS;
const layer = (read: Reader): trace.Layer => read.text('layer') as trace.Layer;

checkRows('trace', [
  {
    id: /^trace\.k$/,
    compute: () => ({
      k_outer: trace.IPC_2221.outer,
      k_inner: trace.IPC_2221.inner,
      b: trace.IPC_2221.rise,
      c: trace.IPC_2221.area,
      mil_per_oz: trace.mils(trace.OUNCE_THICKNESS),
    }),
  },
  {
    id: /^trace\.i\./,
    compute: (_, read) =>
      trace.traceCurrent(read('width_mil') * MIL, copper(read), read('rise_k'), layer(read)),
  },
  {
    id: /^trace\.w\./,
    compute: (_, read) => {
      const width = trace.traceWidth(read('i'), copper(read), read('rise_k'), layer(read));
      return {
        area_mil2: trace.squareMils(trace.traceArea(read('i'), read('rise_k'), layer(read))),
        width_mil: trace.mils(width),
        width_mm: 1000 * width,
      };
    },
  },
  { id: /^trace\.sheet\./, compute: (_, read) => wire.sheetResistance(copper(read)) },
  {
    id: /^trace\.r\.example$/,
    compute: (_, read) => {
      const r = (wire.sheetResistance(copper(read)) * read('length_mm')) / read('width_mm');
      return { r, power_w: read('i') ** 2 * r };
    },
  },
]);

checkRows('psu', [
  {
    id: /^psu\.derate\.\d+C$/,
    compute: (_, read) =>
      supply.derating(read('t_ambient'), power.supplies.derating.from, power.supplies.derating.perKelvin),
  },
  { id: /^psu\.derate\.product$/, compute: (_, read) => supply.combinedDerating(read('a'), read('b')) },
  { id: /^psu\.openframe$/, compute: () => power.supplies.openFrameInCase.share },
  {
    id: /^psu\.power\./,
    compute: (_, read) => {
      const watts = supply.ratedPower(read('v'), read('i'));
      return { power_w: watts, power_80_w: 0.8 * watts };
    },
  },
  {
    id: /^psu\.sum\.24v$/,
    compute: (_, read) => {
      const { total, share } = supply.loadOf(read.list('loads_w'), read('psu_w'));
      return { total_w: total, share, above_80_percent: share > 0.8 };
    },
  },
  {
    id: /^psu\.sum\.12v$/,
    compute: (_, read) => {
      const { total, share } = supply.loadOf(read.list('loads_a'), read('psu_a'));
      return { total_a: total, overload: share > 1 };
    },
  },
]);

interface Material {
  readonly specificHeat: number;
  readonly density: number;
}
const materials = (published('materials') as { materials: Record<string, Material> }).materials;
const metals = shipped('materials/metals.json').materials as Record<
  string,
  { specificHeat: unknown; density: unknown }
>;

checkRows('thermal', [
  { id: /^thermal\.cp\.al$/, compute: () => quantity(metals.aluminium?.specificHeat, 'specificHeat').nom },
  { id: /^thermal\.cp\.steel$/, compute: () => quantity(metals.steel?.specificHeat, 'specificHeat').nom },
  { id: /^thermal\.cp\.glass$/, compute: () => quantity(metals.glass?.specificHeat, 'specificHeat').nom },
  { id: /^thermal\.cp\.boro$/, compute: () => materials['borosilicate glass']?.specificHeat },
  { id: /^thermal\.rho\.al$/, compute: () => quantity(metals.aluminium?.density, 'density').nom },
  {
    id: /^thermal\.rho\.glass$/,
    compute: () => ({
      soda_lime: quantity(metals.glass?.density, 'density').nom,
      borosilicate: materials['borosilicate glass']?.density,
    }),
  },
  {
    id: /^thermal\.lossless\./,
    compute: (_, read) => {
      const body = { heatCapacity: read('heat_capacity_j_k'), conductance: 0, ambient: read('t_start') };
      return {
        rate_k_s: thermal.losslessRate(body.heatCapacity, read('power_w')),
        time_s: thermal.timeToReach(body, read('power_w'), read('t_start'), read('t_target')),
      };
    },
  },
  {
    id: /^thermal\.firstorder\./,
    compute: (_, read) => {
      const body = {
        heatCapacity: read('heat_capacity_j_k'),
        conductance: read('loss_w_k'),
        ambient: read('t_ambient'),
      };
      const time = thermal.timeToReach(body, read('power_w'), read('t_ambient'), read('t_target'));
      return {
        t_final: thermal.settledTemperature(body, read('power_w')),
        time_constant_s: thermal.thermalTime(body),
        reaches: Number.isFinite(time),
        time_s: time,
      };
    },
  },
]);

interface Practice {
  readonly hostBaud: number[];
  readonly supplyVoltages: number[];
  readonly belt: { pitch: number; teeth: number };
  readonly [name: string]: unknown;
}
const practice = published('practice') as Practice;

/** Habits can only be compared with the second copy of them; the two that follow from physics are computed. */
const habits: Record<string, unknown> = {
  'trade.baud': practice.hostBaud[0],
  'trade.baud.fast': practice.hostBaud[1],
  'trade.microsteps': practice.microsteps,
  'trade.motor': practice.fullStepsPerTurn,
  'trade.pullup': practice.endstopPullUp,
  'trade.supply.low': practice.supplyVoltages[0],
  'trade.supply.high': practice.supplyVoltages[1],
  'trade.fuse.bed': practice.bedFuse,
  'trade.fuse.other': practice.otherFuse,
  'trade.nozzle.test': practice.nozzleTestTemperature,
  'trade.bed.test': practice.bedTestTemperature,
  'trade.speed': practice.depositionSpeed,
  'trade.therm.pullup': practice.thermistorPullUp,
  'trade.therm.r25': practice.thermistorR25,
  'trade.cartridge': practice.cartridgePower,
  'trade.belt': { pitch_mm: practice.belt.pitch, teeth: practice.belt.teeth },
  'trade.leadscrew': practice.screwLead,
  'trade.psu.headroom': practice.supplyLoadShare,
};

const trade: Checker[] = [
  {
    id: new RegExp(`^(${Object.keys(habits).join('|').replace(/\./g, '\\.')})$`),
    compute: (row: Row) => habits[row.id],
  },
  {
    id: /^trade\.pullup\.effect$/,
    // An open input with the external pull-up against either inner pull stays high (0.65 of the supply).
    compute: (_, read) =>
      [0, 3.3].every((volts) => {
        const { pin } = solve({
          pulls: [
            { at: 'connector', volts: 3.3, ohms: read('external') },
            { at: 'pin', volts, ohms: read('internal_min') },
          ],
          series: 0,
          sensor: { kind: 'open' },
        });
        return levelOf(pin, ratiometric(3.3, 0.35, 0.65)) === 'high';
      }),
  },
  {
    id: /^trade\.mosfet\.cool$/,
    compute: (_, read) => ({
      max_rise_k: new AtMost(mosfet.rise(mosfet.conductionLoss(read('i'), read('r_ds_on')), 40)),
    }),
  },
  {
    id: /^trade\.endstop\.nc$/,
    // The pin reads the same with the wire cut as with a normally-closed switch pressed, and another level at rest.
    compute: () => {
      const pin = (contact: boolean) =>
        solve({
          pulls: [{ at: 'connector', volts: 3.3, ohms: 10e3 }],
          series: 0,
          sensor: contact ? { kind: 'contact', volts: 0, ohms: 0.1 } : { kind: 'open' },
        }).pin;
      const [rest, pressed, cut] = [pin(true), pin(false), pin(false)];
      return cut === pressed && cut !== rest;
    },
  },
];
checkRows('trade', trade);
