import * as adc from '../../server/src/physics/adc';
import * as ntc from '../../server/src/physics/ntc';
import * as platinum from '../../server/src/physics/platinum';
import * as couple from '../../server/src/physics/thermocouple';
import { type Checker, checkRows, loadRows, published, type Reader, type Row } from './rows';

const curves = (published('ntc-curves') as { curves: { name: string; points: [number, number][] }[] }).curves;

function tableOf(name: string, r25: number): ntc.ResistanceCurve {
  const found = curves.find((one) => one.name === name);
  const curve =
    found && ntc.tableCurve(found.points.map(([celsius, ratio]) => [celsius, ratio * r25] as const));
  if (!curve) throw new Error(`no curve ${name}`);
  return curve;
}

const beta = (read: Reader, name = 'b') => ntc.betaCurve(read('r25'), read(name));
const four = (read: Reader, names: string) =>
  names.split(' ').map((name) => read(name)) as unknown as readonly [number, number, number, number];

/** The coefficients that the other rows of the same part are computed with. */
function coefficients(row: Row): Record<string, number> {
  const part = row.id.replace(/coeff$/, '');
  const found: Record<string, number> = {};
  for (const other of loadRows('ntc')) {
    if (!other.id.startsWith(part)) continue;
    for (const [name, value] of Object.entries(other.inputs)) {
      if (!/^[A-D]1?$/.test(name)) continue;
      if (found[name] !== undefined && found[name] !== value) throw new Error(`${other.id}: ${name} differs`);
      found[name] = value as number;
    }
  }
  return found;
}

const ntcRows: Checker[] = [
  {
    id: /^ntc\.8016\.10k\./,
    compute: (_, read) => tableOf(read.text('curve'), read('r25')).resistance(read('t_c')),
  },
  {
    id: /^ntc\.840[35]\.\d+k\./,
    compute: (_, read) => tableOf(read.text('curve'), read('r25')).resistance(read('t_c')) / read('r25'),
  },
  {
    id: /^ntc\.8016\.B25_100$/,
    compute: (_, read) => ntc.betaBetween(read('t1_c'), read('r1'), read('t2_c'), read('r2')),
  },
  {
    id: /^ntc\.8406\.B200_300$/,
    compute: (_, read) => ntc.betaBetween(read('t1_c'), read('ratio1'), read('t2_c'), read('ratio2')),
  },
  {
    id: /^ntc\.vishay\d+k\.B25_85$/,
    compute: (_, read) => ntc.betaBetween(25, read('r25'), 85, read('r85')),
  },
  { id: /^ntc\.8016\.betafit\./, compute: (_, read) => beta(read).temperature(read('r')) },
  { id: /^ntc\.vishay\d+k\.coeff$/, compute: (row) => coefficients(row) },
  {
    id: /^ntc\.vishay\d+k\.-?\d+C$/,
    compute: (_, read) => ntc.extendedResistance(read('r25'), four(read, 'A B C D'), read('t_c')),
  },
  {
    id: /^ntc\.vishay\d+k\.inv\./,
    compute: (_, read) => ntc.extendedTemperature(read('r25'), four(read, 'A1 B1 C1 D1'), read('r')),
  },
  { id: /^ntc\.beta\./, compute: (_, read) => beta(read).resistance(read('t_c')) },
  {
    id: /^ntc\.sh3\./,
    compute: (_, read) =>
      ntc.steinhartHartCurve({ a: read('A'), b: read('B'), c: read('C') }).temperature(read('r')),
  },
];
checkRows('ntc', ntcRows);

checkRows('ntc-pullup', [
  {
    id: /^ntcpull\.mismatch\./,
    compute: (_, read) =>
      ntc.shownWithPullUp(beta(read), read('pullup_fitted'), read('pullup_assumed'), read('true_t_c')),
  },
  {
    id: /^ntcpull\.betamismatch\./,
    compute: (_, read) => ntc.shownWithCurve(beta(read, 'b_true'), beta(read, 'b_assumed'), read('true_t_c')),
  },
]);

function converter(read: Reader, curve: ntc.ResistanceCurve) {
  const ratio = adc.dividerRatio(curve.resistance(read('t_c')), read('pullup'));
  return {
    ratio,
    count: adc.countOf(ratio, read('bits')),
    degc_per_count: adc.kelvinPerCount(curve, read('pullup'), read('bits'), read('t_c')),
  };
}

checkRows('adc', [
  { id: /^adc\.ntc/, compute: (_, read) => converter(read, beta(read)) },
  { id: /^adc\.pt/, compute: (_, read) => converter(read, platinum.platinumCurve(read('r0'))) },
  { id: /^adc\.lsb\./, compute: (_, read) => adc.stepVoltage(read('bits'), read('vref')) },
  {
    id: /^adc\.self\.heat/,
    compute: (_, read) => {
      const power = adc.sensorPower(read('r'), read('pullup'), read('v'));
      return { power_w: power, rise_k: power / read('dissipation_w_per_k') };
    },
  },
  {
    id: /^adc\.open$/,
    compute: (_, read) => {
      const ratio = adc.dividerRatio(Number.POSITIVE_INFINITY, read('pullup'));
      return { ratio, count: adc.countOf(ratio, read('bits')) };
    },
  },
]);

checkRows('pt-rtd', [
  { id: /^pt10+\./, compute: (_, read) => platinum.platinumResistance(read('r0'), read('t_c')) },
  { id: /^pt\.alpha$/, compute: (_, read) => platinum.meanCoefficient(read('r0'), read('r100')) },
  {
    id: /^pt\.tol\./,
    compute: (_, read) => platinum.platinumTolerance(read.text('cls') as 'A' | 'B', read('t_c')),
  },
]);

checkRows('thermocouple-k', [
  { id: /^tck\.-?\d+C$/, compute: (_, read) => 1000 * couple.typeKVoltage(read('t_c')) },
  { id: /^tck\.coef\.neg$/, compute: () => [...couple.TYPE_K_BELOW_ZERO] },
  {
    id: /^tck\.coef\.pos$/,
    compute: () => ({ c: [...couple.TYPE_K_ABOVE_ZERO], ...couple.TYPE_K_BUMP }),
  },
  { id: /^tck\.cj$/, compute: (_, read) => 1000 * couple.typeKMeasured(read('t_hot_c'), read('t_cold_c')) },
  { id: /^tck\.slope$/, compute: () => 1e6 * couple.typeKSlope(0, 50) },
]);
