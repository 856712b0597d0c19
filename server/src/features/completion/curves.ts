import { curveOfSettings } from '../../machine/curves';
import { shippedCurves } from '../../machine/sensorCurves';
import type { Analysis } from '../../project/analysis';
import { formatNumber, formatQuantity } from '../../units';

export interface OfferedCurve {
  readonly id: string;
  readonly title: string;
  /** What a sensor of this kind reads at room temperature. */
  readonly reading: string;
  readonly fitted: boolean;
}

const ROOM = 25;

/** Id of the shipped curve that the machine sheet has fitted, for a concept such as 'tool.0.sensor.curve'. */
function fittedCurve({ machine }: Analysis, conceptId: string): string | undefined {
  return zoneOf(machine.zones, conceptId)?.fittedCurve?.value.id;
}

const zoneOf = <T extends { readonly id: string }>(zones: readonly T[], conceptId: string): T | undefined =>
  zones.find(({ id }) => conceptId.startsWith(`${id}.`));

/** The shipped curves, the fitted one first. */
export function offeredCurves(analysis: Analysis, conceptId: string): readonly OfferedCurve[] {
  const fitted = fittedCurve(analysis, conceptId);
  const zone = zoneOf(analysis.machine.zones, conceptId);
  const pullUp = zone?.number('sensor.pullUp')?.value.nom;
  const curves = [...shippedCurves().values()].map(({ id, title }) => ({
    id,
    title,
    reading: readingOf(id, pullUp),
    fitted: id === fitted,
  }));
  return [...curves.filter((curve) => curve.fitted), ...curves.filter((curve) => !curve.fitted)];
}

/** @param pullUp Ω that the settings state, so that the divider's share is known */
function readingOf(id: string, pullUp: number | undefined): string {
  const curve = curveOfSettings({ value: id, quality: 'assumed', label: id })?.value;
  const resistance = curve?.resistance?.resistance(ROOM);
  if (resistance === undefined || !Number.isFinite(resistance)) return 'no resistance: it needs an amplifier';
  const ohms = `${formatQuantity(resistance, 'resistance', { digits: 4 })} at ${ROOM} °C`;
  if (pullUp === undefined || !(pullUp > 0)) return ohms;
  const share = (100 * resistance) / (resistance + pullUp);
  return `${ohms}, ${formatNumber(share, 3)} % of the converter's range with ${formatQuantity(pullUp, 'resistance')}`;
}
