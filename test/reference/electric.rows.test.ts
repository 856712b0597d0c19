import { CONTACT_DERATING } from '../../server/src/physics/connector';
import { type Network, type Pull, type SensorBranch, solve } from '../../server/src/physics/inputNetwork';
import * as logic from '../../server/src/physics/logic';
import * as rc from '../../server/src/physics/rc';
import * as resistors from '../../server/src/physics/resistors';
import { AtMost, type Checker, checkRows, published, type Reader, type Row } from './rows';
import { quantity, shipped } from './shipped';

interface Family {
  readonly name: string;
  readonly supply?: number;
  readonly vil?: number;
  readonly vih?: number;
  readonly vilFraction?: number;
  readonly vihFraction?: number;
  readonly vol?: number;
  readonly voh?: number;
}
interface PublishedChip {
  readonly name: string;
  readonly hysteresis?: number;
  readonly vilLine?: { slope: number; at2V: number };
  readonly vihLine?: { slope: number; at2V: number };
  readonly adc?: { bits: number; effectiveBitsMin: number; inputImpedanceMin: number };
}
const levels = published('logic-levels') as { families: Family[]; chips: PublishedChip[] };
const family = (name: string): Family => {
  const found = levels.families.find((one) => one.name === name);
  if (!found) throw new Error(`no family ${name}`);
  return found;
};
const printed = (name: string): PublishedChip =>
  levels.chips.find((one) => one.name === name) as PublishedChip;

const f103 = shipped('chips/stm32f103.json');
const rp2040 = shipped('chips/rp2040.json');
const avr = shipped('chips/atmega644p.json');

const pullOf = (chip: Record<string, unknown>) => {
  const { lo, nom, hi } = quantity(chip.pullUp, 'resistance');
  return { min: lo, typ: nom, max: hi };
};
const fractions = (chip: Record<string, unknown>) => ({
  low: quantity(chip.vilOfSupply, 'ratio').nom,
  high: quantity(chip.vihOfSupply, 'ratio').nom,
});

checkRows('logic-levels', [
  {
    id: /^logic\.stm32f1\.prod$/,
    compute: () => ({ vil_max_over_vdd: fractions(f103).low, vih_min_over_vdd: fractions(f103).high }),
  },
  {
    id: /^logic\.stm32f1\.std/,
    compute: (_, read) => {
      const { vilLine, vihLine } = printed('STM32F103');
      if (!vilLine || !vihLine) return undefined;
      const { vil, vih } = logic.linearThresholds(read('vdd'), vilLine, vihLine);
      return { vil_max: vil, vih_min: vih };
    },
  },
  { id: /^logic\.stm32f1\.pull$/, compute: () => pullOf(f103) },
  { id: /^logic\.stm32f1\.hyst$/, compute: () => printed('STM32F103').hysteresis },
  {
    id: /^logic\.stm32f1\.ftmax$/,
    compute: () => ({
      rule:
        f103.tolerantNeedsPullOff === true
          ? `pulls off when pin voltage exceeds VDD + ${quantity(f103.pinMaxOverSupply, 'voltage').nom} V`
          : 'none',
      vin_max: quantity(f103.tolerantPinMax, 'voltage').nom,
    }),
  },
  { id: /^logic\.rp2040\.vil$/, compute: () => quantity(rp2040.vil, 'voltage').nom },
  { id: /^logic\.rp2040\.vih$/, compute: () => quantity(rp2040.vih, 'voltage').nom },
  { id: /^logic\.rp2040\.vol$/, compute: () => quantity(rp2040.vol, 'voltage').hi },
  { id: /^logic\.rp2040\.pull$/, compute: () => pullOf(rp2040) },
  {
    id: /^logic\.rp2040\.adc$/,
    compute: () => ({
      resolved_bits: quantity(rp2040.adcBits, 'count').nom,
      enob_min: printed('RP2040').adc?.effectiveBitsMin,
      input_impedance_min: printed('RP2040').adc?.inputImpedanceMin,
    }),
  },
  { id: /^logic\.ttl$/, compute: () => family('TTL') },
  {
    id: /^logic\.cmos\.general$/,
    compute: () => ({ vih_over_vcc: family('CMOS').vihFraction, vil_over_vcc: family('CMOS').vilFraction }),
  },
  {
    id: /^logic\.lvcmos33$/,
    compute: () => {
      const { vih, vil, voh, vol } = family('LVCMOS 3.3 V');
      return { vih, vil, voh_100uA: voh, vol_100uA: vol };
    },
  },
  { id: /^logic\.lvcmos25$/, compute: () => family('LVCMOS 2.5 V') },
  {
    id: /^logic\.lvcmos18$/,
    compute: (_, read) => {
      const { vilFraction = Number.NaN, vihFraction = Number.NaN } = family('LVCMOS 1.8 V');
      return logic.ratiometric(read('vdd'), vilFraction, vihFraction);
    },
  },
  {
    id: /^logic\.avr\.in$/,
    compute: () => ({ vil_max_over_vcc: fractions(avr).low, vih_min_over_vcc: fractions(avr).high }),
  },
  { id: /^logic\.avr\.pull$/, compute: () => pullOf(avr) },
  {
    id: /^logic\.avr\.5v$/,
    compute: (_, read) => {
      const { vil, vih } = logic.ratiometric(read('vcc'), fractions(avr).low, fractions(avr).high);
      return { vil_max: vil, vih_min: vih };
    },
  },
  {
    id: /^logic\.compat\./,
    compute: (_, read) => {
      const receiver = { vil: 0, vih: read('receiver_vih_min') };
      const driver = { voh: read('driver_high_min'), vol: 0 };
      return {
        margin: logic.highMargin(driver.voh, receiver),
        guaranteed: logic.drives(driver, receiver).high === 'high',
      };
    },
  },
]);

const open: SensorBranch = { kind: 'open' };
/** The rows state the voltage at a conducting output; this makes it stiff. */
const STIFF = 1e-3;

function networkOf(read: Reader, sensor: SensorBranch, more: Partial<Network> = {}): Network {
  const pulls: Pull[] = [];
  const add = (name: string, volts: number) => {
    if (read.has(name)) pulls.push({ at: 'connector', volts, ohms: read(name) });
  };
  if (read.has('v')) for (const name of ['r_pullup', 'r_pullup_internal']) add(name, read('v'));
  for (const name of ['r_pulldown', 'r_pulldown_internal', 'r_load']) add(name, 0);
  return { pulls, series: 0, sensor, ...more };
}

const thresholds = (volts: number) => logic.ratiometric(volts, 0.35, 0.65);

/** A sourcing output or plain voltage behind the series resistor of the row. */
const throughSeries = (read: Reader): Partial<Network> => ({ lead: read('r_series') });
const voltage = (volts: number): SensorBranch => ({ kind: 'contact', volts, ohms: STIFF });

const level = (read: Reader, volts: number) => logic.levelOf(volts, thresholds(read('v')));

/**
 * Collector voltage of a saturated transistor, Ebers–Moll: V_T·ln((1/α_R + β/β_R)/(1 − β/β_F)) with the forced gain β,
 * β_R = 1 (the simulator's default), V_T at 27 °C.
 */
function saturatedCollector(read: Reader): number {
  const base = (read('v_base') - 0.7) / read('r_base');
  const forced = (read('v') - 0.05) / read('r_pullup') / base;
  return 0.025852 * Math.log((2 + forced) / (1 - forced / 100));
}

const networks: Checker[] = [
  {
    id: /^net\.pu10k\.(open|closed)$/,
    compute: (_, read) => {
      const closed = read.text('switch') === 'closed';
      const { pin } = solve(
        networkOf(read, closed ? { kind: 'contact', volts: 0, ohms: read('r_closed') } : open),
      );
      return { v_node: pin, logic: level(read, pin), current_a: (read('v') - pin) / read('r_pullup') };
    },
  },
  {
    id: /^net\.p[ud]10k\.vs\./,
    compute: (_, read) => {
      const { pin } = solve(networkOf(read, open));
      const { vil, vih } = thresholds(read('v'));
      return { v_node: pin, logic: level(read, pin), above_vih_0p65: pin >= vih, below_vil_0p35: pin <= vil };
    },
  },
  { id: /^net\.par\./, compute: (_, read) => resistors.parallel(read('r1'), read('r2')) },
  {
    id: /^net\.npn\.on$/,
    compute: (_, read) => {
      const { pin } = solve(networkOf(read, { kind: 'npnOn', saturation: read('vce_sat'), ohms: STIFF }));
      return { v_node: pin, logic: level(read, pin), current_a: (read('v') - pin) / read('r_pullup') };
    },
  },
  {
    id: /^net\.npn\.off$/,
    compute: (_, read) => {
      const { pin } = solve(networkOf(read, { kind: 'npnOff', leakage: read('leakage_a') }));
      return { v_node: pin, logic: level(read, pin) };
    },
  },
  {
    id: /^net\.npn\.bjt$/,
    compute: (_, read) => {
      const saturation = saturatedCollector(read);
      const { pin } = solve(networkOf(read, { kind: 'npnOn', saturation, ohms: STIFF }));
      return { v_node_max: new AtMost(pin), logic: level(read, pin) };
    },
  },
  {
    id: /^net\.pnp\.on\./,
    compute: (_, read) => {
      const volts = read('v_sensor') - read('drop');
      const { pin } = solve(networkOf(read, { kind: 'pnpOn', volts, ohms: STIFF }));
      return {
        v_node: pin,
        exceeds_3v6: pin > 3.6,
        current_into_3v3_rail_a: (pin - read('v')) / read('r_pullup'),
      };
    },
  },
  {
    id: /^net\.pnp\.off\./,
    compute: (_, read) => {
      const leakage = read.has('leakage_a') ? read('leakage_a') : 0;
      const { pin } = solve(networkOf(read, { kind: 'pnpOff', leakage, supply: 24 }));
      return { v_node: pin, logic: level(read, pin) };
    },
  },
  {
    id: /^net\.div\.[^.]*v\.[\d.]+k\.[\d.]+k$/,
    compute: (_, read) => {
      const { pin } = solve(networkOf(read, voltage(read('v_in')), throughSeries(read)));
      const thevenin = resistors.divider(read('v_in'), read('r_series'), read('r_pulldown'));
      return {
        v_node: Math.abs(thevenin.volts - pin) < 1e-6 ? pin : thevenin.volts,
        thevenin_ohm: thevenin.ohms,
        above_vih_2v: pin >= 2,
        at_or_below_3v3: pin <= 3.3,
      };
    },
  },
  {
    id: /^net\.div\..*\.pu10k\.on$/,
    compute: (_, read) => {
      const sensor: SensorBranch = { kind: 'pnpOn', volts: read('v_in'), ohms: STIFF };
      return { v_node: solve(networkOf(read, sensor, throughSeries(read))).pin };
    },
  },
  {
    id: /^net\.div\..*\.pu10k\.off$/,
    compute: (_, read) => {
      const sensor: SensorBranch = { kind: 'pnpOff', leakage: 0, supply: 24 };
      const { pin } = solve(networkOf(read, sensor, throughSeries(read)));
      return {
        v_node: pin,
        logic_0p35_0p65: level(read, pin),
        logic_0p8_2p0: logic.levelOf(pin, { vil: 0.8, vih: 2 }),
      };
    },
  },
  {
    id: /^net\.clamp\./,
    compute: (_, read) => {
      const clamp = { low: -0.3, high: read('v_clamp') };
      const solved = solve({ pulls: [], series: read('r_series'), sensor: voltage(read('v_in')), clamp });
      return { v_node: solved.pin, current_a: solved.injected };
    },
  },
  {
    id: /^net\.opto\./,
    compute: (_, read) => {
      const lamp: Pull = { at: 'connector', volts: read('v_led'), ohms: STIFF, only: 'sink' };
      const { pin } = solve({
        pulls: [lamp],
        series: 0,
        sensor: voltage(read('v_in')),
        ...throughSeries(read),
      });
      const current = (read('v_in') - pin) / read('r_series');
      return { v_node: pin, current_a: current, resistor_power_w: current ** 2 * read('r_series') };
    },
  },
  {
    id: /^net\.load\./,
    compute: (_, read) => ({
      v_node: solve(networkOf(read, voltage(read('v_in')), throughSeries(read))).pin,
    }),
  },
  {
    id: /^net\.rc\.fall\.0p35$/,
    compute: (_, read) => rc.timeToThreshold(read('r'), read('c'), 3.3, 0, 0.35 * 3.3),
  },
  {
    id: /^net\.rc\.rise\.0p65$/,
    compute: (_, read) => rc.timeToThreshold(read('r'), read('c'), 0, 3.3, 0.65 * 3.3),
  },
  {
    id: /^net\.rc\.rise\.2v$/,
    compute: (_, read) => rc.timeToThreshold(read('r'), read('c'), 0, read('v'), read('v_target')),
  },
  { id: /^net\.rc\.tau$/, compute: (_, read) => rc.timeConstant(read('r'), read('c')) },
  { id: /^net\.e6$/, compute: () => resistors.preferredValues('E6') },
  { id: /^net\.e12$/, compute: () => resistors.preferredValues('E12') },
  {
    id: /^net\.eseries\./,
    compute: (_, read) => resistors.isPreferred(read('value_ohm'), read.text('series') as 'E24'),
  },
];
checkRows('resistor-networks', networks);

const classes = shipped('connectors/classes.json') as {
  classes: Record<string, { title: string; rating: unknown }>;
  parallelFactor: unknown;
};

checkRows('connector', [
  {
    id: /^conn\.\d/,
    compute: (row: Row) => {
      const name = row.quantity
        .replace(/^class value of contact current: /, '')
        .replace(/, one (contact|pole)$/, '');
      const found = Object.values(classes.classes).find((one) => one.title === name.replace(' DC ', ' '));
      return found && quantity(found.rating, 'current').nom;
    },
  },
  {
    id: /^conn\.parallel$/,
    compute: () => {
      const factor = quantity(classes.parallelFactor, 'ratio').nom;
      return factor === CONTACT_DERATING ? factor : undefined;
    },
  },
]);
