import { chipIds, shippedChip } from '../../../board/chips';
import { connectorClasses } from '../../../board/connectorClasses';
import { driverFamilyIds, shippedDriver } from '../../../board/drivers';
import { materials } from '../../../machine/materials';
import { copperWire } from '../../../machine/wireTable';
import { formatInterval } from '../../../units';
import { offeredCurves } from '../curves';
import { type JsonQuestion, type Offer, textOf, words } from './question';

/** Names of data that ship: chips, driver chips, sensor curves, materials, insulations, kinds of plugs. */
export function shippedNames({ analysis, spot, read }: JsonQuestion, reference: string): Offer[] | undefined {
  const kind = 'value' as const;
  switch (reference) {
    case 'chips':
      return chipIds.map((name) => {
        const chip = shippedChip(name);
        const detail = words([
          chip?.title,
          chip?.family !== chip?.title && chip?.family,
          chip?.flash && `${formatInterval(chip.flash.value, 'memory')} flash`,
        ]);
        return { name, kind, detail };
      });
    case 'driverFamilies':
      return driverFamilyIds.map((name) => {
        const family = shippedDriver(name);
        const most = Math.max(...(family?.microsteps?.value ?? []));
        const detail = words([
          family?.title,
          Number.isFinite(most) && `up to ${most} microsteps`,
          family?.supply && formatInterval(family.supply.value, 'voltage'),
          family?.maxRms && `${formatInterval(family.maxRms.value, 'current')} rms with moving air`,
        ]);
        return { name, kind, detail };
      });
    case 'curves': {
      const zone = textOf(read([...spot.path.slice(0, -1), 'zone']));
      return offeredCurves(analysis, `${zone ?? ''}.sensor.curve`).map(({ id, title, reading, fitted }) => ({
        name: id,
        kind,
        detail: words([reading, fitted && 'as it is now']),
        explain: title,
      }));
    }
    case 'materials':
      return [...materials().values()].map(({ name, title, specificHeat, sensingFactor }) => ({
        name,
        kind,
        detail: words([
          title,
          specificHeat && formatInterval(specificHeat.value, 'specificHeat'),
          sensingFactor &&
            `seen at ${formatInterval(sensingFactor.value, 'ratio')} of an inductive sensor's distance`,
        ]),
      }));
    case 'insulations':
      return [...copperWire().insulations.values()].map(({ name, title, limit }) => ({
        name,
        kind,
        detail: words([title, `up to ${formatInterval(limit.value, 'temperature')}`]),
      }));
    case 'connectorClasses':
      return [...connectorClasses()].map(([name, { title, rating }]) => ({
        name,
        kind,
        detail: words([title, `${formatInterval(rating.value, 'current')} a contact, estimated`]),
      }));
    default:
      return undefined;
  }
}
