import { connectorClasses, parallelFactor } from '../board/connectorClasses';
import { sameName } from '../board/find';
import type { FuseType } from '../board/fuseTypes';
import type { BoardProfile, Connector, Fuse } from '../board/profile';
import { derive, type Fact, type NumberFact } from '../model/fact';
import { over } from '../model/interval';
import type { Place } from '../model/place';
import { contactsCurrent } from '../physics/connector';
import type { ExternalSwitch, Wire } from './sheet';

/** A fuse on the way of one or several branches. */
export interface BranchFuse {
  /** In plain words: "the fuse F1", "the fuse in the wire "bed"". */
  readonly title: string;
  readonly place: Place;
  readonly rating?: NumberFact;
  readonly type?: Fact<FuseType>;
  /** Share of the rating that is left at the warmth around it. */
  readonly temperatureFactor?: NumberFact;
  readonly ambient?: NumberFact;
  readonly where: 'board' | 'wire' | 'switch';
}

/** Makes each fuse once, so that branches behind one fuse share one object. */
export interface FuseBox {
  ofWire(wire: Pick<Wire, 'name' | 'fuse'>): BranchFuse[];
  ofSwitch(part: ExternalSwitch): BranchFuse[];
  named(name: Fact<string> | undefined): BranchFuse[];
}

export function fuseBox(board: BoardProfile | undefined): FuseBox {
  const made = new Map<object, BranchFuse>();
  const once = (key: object, make: () => BranchFuse): BranchFuse[] => {
    const fuse = made.get(key) ?? make();
    made.set(key, fuse);
    return [fuse];
  };
  return {
    ofWire({ name, fuse }) {
      if (!fuse || fuse.absent?.value) return [];
      return once(fuse, () => ({ ...fuse, title: `the fuse in the wire "${name}"`, where: 'wire' }));
    },
    ofSwitch(part) {
      const { fuse, place } = part;
      if (!fuse) return [];
      return once(part, () => ({
        title: 'the fuse of the external switch',
        place: fuse.place ?? place,
        rating: fuse,
        where: 'switch',
      }));
    },
    named(name) {
      const fuse = name && [...(board?.fuses.values() ?? [])].find((one) => sameName(one.name, name.value));
      return fuse ? once(fuse, () => ofBoard(fuse)) : [];
    },
  };
}

const ofBoard = ({ name, ...fuse }: Fuse): BranchFuse => ({
  ...fuse,
  title: `the fuse ${name}`,
  where: 'board',
});

/** Contacts that carry a branch's current. */
export interface BranchPlug {
  /** In plain words: "the connector HB", "the plug in the wire "bed"". */
  readonly title: string;
  readonly place: Place;
  /** On the board all loads of a connector share its contacts; in a wire they are the device's own. */
  readonly where: 'board' | 'wire';
  /** Where its rating is or would be written, for questions. */
  readonly path: string;
  /** A for one contact, as its sheet or its class says. */
  readonly rating?: NumberFact;
  readonly contacts: number;
  /** A that all contacts of one pole carry together, at the warmth around them. */
  readonly capacity?: NumberFact;
  /** What the capacity rests on. */
  readonly facts: readonly Fact<unknown>[];
}

export function plugOfConnector(connector: Connector): BranchPlug {
  const { name, place, currentRating, class: kind, temperatureFactor, contactsInParallel } = connector;
  return plug({
    title: `the connector ${name}`,
    place,
    where: 'board',
    path: `"connectors.${name}.currentRating" in the board profile`,
    stated: currentRating,
    kind,
    temperatureFactor,
    contactsInParallel,
  });
}

export function plugOfWire({ name, plug: fitted }: Wire): BranchPlug[] {
  if (!fitted) return [];
  return [
    plug({
      title: fitted.title ? `the ${fitted.title.value}` : `the plug in the wire "${name}"`,
      place: fitted.place,
      where: 'wire',
      path: `"wires.${name}.plug.rating" on the machine sheet`,
      stated: fitted.rating,
      kind: fitted.class,
      temperatureFactor: fitted.temperatureFactor,
      contactsInParallel: fitted.contactsInParallel,
    }),
  ];
}

interface Contacts {
  readonly title: string;
  readonly place: Place;
  readonly where: BranchPlug['where'];
  readonly path: string;
  readonly stated?: NumberFact;
  readonly kind?: Fact<string>;
  readonly temperatureFactor?: NumberFact;
  readonly contactsInParallel?: Fact<number>;
}

function plug({
  title,
  place,
  where,
  path,
  stated,
  kind,
  temperatureFactor,
  contactsInParallel,
}: Contacts): BranchPlug {
  const rating = stated ?? ofClass(kind);
  const contacts = contactsInParallel?.value ?? 1;
  const worth = parallelFactor()?.value.nom;
  const capacity =
    rating &&
    derive(
      rating,
      over([rating.value, temperatureFactor?.value ?? { lo: 1, nom: 1, hi: 1 }], (amperes, warmth) =>
        contactsCurrent(amperes * warmth, contacts, worth),
      ),
    );
  const facts = [rating, kind, temperatureFactor, contactsInParallel].filter((fact) => fact !== undefined);
  return { title, place, where, path, rating, contacts, capacity, facts };
}

/** Usual rating of a kind of plug: an estimate, placed where the kind is named. */
function ofClass(kind: Fact<string> | undefined): NumberFact | undefined {
  const known =
    kind && [...connectorClasses()].find(([name]) => name.toLowerCase() === kind.value.trim().toLowerCase());
  const rating = known?.[1].rating;
  return rating && { ...rating, place: kind?.place, label: `usual rating of a ${known[1].title}` };
}
