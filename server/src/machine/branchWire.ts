import { derive, type NumberFact } from '../model/fact';
import { type Interval, over, point, scale } from '../model/interval';
import { ambientFactor, capacityBeyond, insulationFactor, interpolatedPower, runLoss } from '../physics/wire';
import type { Wire } from './sheet';
import { copperWire, type Insulation, type WireSize } from './wireTable';

/** One pair of wires of a branch, with what its size, length and surroundings make of it. */
export interface BranchWire {
  /** As the sheet states it. */
  readonly wire: Wire;
  /** m² */
  readonly size?: NumberFact;
  /** m, one way */
  readonly length?: NumberFact;
  /** Ω/m of one conductor at 20 °C. */
  readonly perMetre?: NumberFact;
  /** °C that the conductor is taken to have at work. */
  readonly conductorTemperature: number;
  /** A that it carries all the time, with its insulation, the air around it and its neighbours. Absent without a size. */
  readonly capacity?: NumberFact;
  /** What the capacity rests on besides the size. */
  readonly capacityFacts: readonly (NumberFact | undefined)[];
  /** The insulation by the table; absent when the sheet names none: the capacity then spans from PVC to the best. */
  readonly insulation?: Insulation;
  /** °C of the air that the capacity holds for. */
  readonly ambient: number;
  /** Out and back, Ω, warm. */
  readonly resistance?: NumberFact;
  /** V lost at the branch's current, out and back. */
  readonly drop?: NumberFact;
  /** The drop as a share of the branch's voltage. */
  readonly dropShare?: NumberFact;
  /** W in both conductors together, and in each metre of one conductor. */
  readonly heat?: NumberFact;
  readonly heatPerMetre?: NumberFact;
}

/** °C of a conductor at work when the sheet does not say: the limit of PVC, on the safe side. */
const CONDUCTOR = 70;

/**
 * @param current A in the wire
 * @param voltage V that feeds the branch, for the share that is lost
 */
export function branchWire(
  wire: Wire,
  current: NumberFact | undefined,
  voltage: NumberFact | undefined,
): BranchWire {
  const { size, length } = wire;
  const perMetre = size && derive(size, over([size.value], resistancePerMetreOf), 'resistance of the wire');
  const celsius = wire.conductorTemperature?.value.nom ?? CONDUCTOR;
  const ambient = wire.ambient?.value.nom ?? copperWire().baseAmbient?.value.nom ?? 40;
  const insulation = insulationOf(wire);
  const loss = (pick: (loss: ReturnType<typeof runLoss>) => number, label: string) =>
    size && length && perMetre
      ? derive(
          size,
          over([perMetre.value, length.value, current?.value ?? point(0)], (r, l, i) =>
            pick(runLoss(r, l, i, celsius)),
          ),
          label,
        )
      : undefined;
  const drop = current && loss((one) => one.drop, 'voltage lost in the wire');
  return {
    wire,
    size,
    length,
    perMetre,
    conductorTemperature: celsius,
    capacity: size && derive(size, capacityOf(wire, size.value, insulation, ambient), 'capacity of the wire'),
    capacityFacts: [wire.ambient],
    insulation,
    ambient,
    resistance: loss((one) => one.resistance, 'resistance of the wire'),
    drop,
    dropShare:
      drop &&
      voltage &&
      derive(
        drop,
        over([drop.value, voltage.value], (volts, all) => volts / all),
        drop.label,
      ),
    heat: current && loss((one) => one.power, 'heat in the wire'),
    heatPerMetre: current && loss((one) => one.powerPerMetre, 'heat in the wire, a metre'),
  };
}

function insulationOf({ insulation }: Wire): Insulation | undefined {
  const name = insulation?.value.trim().toLowerCase();
  return [...copperWire().insulations].find(([one]) => one.toLowerCase() === name)?.[1];
}

const sorted = (): readonly WireSize[] => copperWire().sizes;

/** Ω/m by the table's nearest size: stranding makes the same share of every size of a class. */
export function resistancePerMetreOf(area: number): number {
  const [nearest] = [...sorted()].sort(
    (a, b) => Math.abs(Math.log(a.area.value.nom / area)) - Math.abs(Math.log(b.area.value.nom / area)),
  );
  return nearest ? (nearest.resistance.value.nom * nearest.area.value.nom) / area : Number.NaN;
}

/** A in PVC at the table's ambient: between two sizes of the table by a power law, beyond its ends within physical bounds. */
export function tableCapacity(area: number): Interval {
  const rated = sorted().flatMap(({ area: size, capacity }) =>
    capacity ? [{ area: size.value.nom, current: capacity.value.nom }] : [],
  );
  const upper = rated.find((row) => row.area >= area * (1 - 1e-9));
  const lower = [...rated].reverse().find((row) => row.area <= area * (1 + 1e-9));
  if (lower && upper) return point(interpolatedPower(lower, upper, area));
  const end = lower ?? upper;
  return end ? capacityBeyond(end, area) : { lo: 0, nom: Number.NaN, hi: Number.POSITIVE_INFINITY };
}

function capacityOf(
  wire: Wire,
  size: Interval,
  insulation: Insulation | undefined,
  ambient: number,
): Interval {
  const table = copperWire();
  const base = table.baseAmbient?.value.nom ?? 40;
  const pvc = table.insulations.get('PVC')?.limit.value.nom ?? CONDUCTOR;
  const limits = insulation
    ? [insulation.limit.value.nom]
    : [...table.insulations.values()].map(({ limit }) => limit.value.nom);
  const factor = (limit: number) =>
    insulationFactor(pvc, limit, base) *
    ambientFactor(limit, base, ambient) *
    bundling(wire.bundled?.value ?? 1);
  const [thin, nominal, thick] = [size.lo, size.nom, size.hi].map(tableCapacity);
  const span: Interval = {
    lo: thin?.lo ?? 0,
    nom: nominal?.nom ?? Number.NaN,
    hi: thick?.hi ?? Number.POSITIVE_INFINITY,
  };
  // Unknown insulation: anything from the least to the best, PVC in the middle of what is said.
  const least = scale(span, factor(insulation ? insulation.limit.value.nom : pvc));
  const best = scale(span, Math.max(...limits.map(factor)));
  return { lo: least.lo, nom: least.nom, hi: best.hi };
}

/** Factor on the capacity of pairs that lie together; beyond the table its last factor. */
function bundling(pairs: number): number {
  const factors = copperWire().bundled?.factors ?? [];
  if (pairs < 2) return 1;
  return factors[Math.min(pairs - 2, factors.length - 1)] ?? 1;
}
