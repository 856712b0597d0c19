import type { DriverSocket } from '../../board/profile';
import type { NumberFact } from '../../model/fact';
import { volts } from '../branchFacts';
import { causesOf, exceeds, inWords, listed } from '../kit';
import { marked } from '../marked';
import { defineRule, type RuleContext } from '../rule';

const example = (nominal: string, finding?: string) => {
  const supply = '{ "name": "M", "supply": { "voltage": "24 V" } }';
  return `
//- m.machine.json
${finding ? marked(supply, '"24 V"', finding) : supply}
//- b.board.json
{ "name": "B", "supply": { "nominal": "${nominal}" } }`;
};

/** How far a supply is trimmed or drifts up, and how far a printed voltage may be taken at its word; common practice. */
const TRIM = 0.05;
/** What comes back from motors that brake, over the supply; common practice. */
const BRAKING = 0.1;
const CAUTION = 'Capacitors can burst; wear eye protection at first power.';

export default defineRule({
  id: 'supply/board-range',
  title: "The supply's voltage does not suit the board",
  what: 'Compares the supply with the range that the board is made for, with what its parts stand at most, and with the range of the motor drivers.',
  why: 'Capacitors and converters fail above their voltage, at once and sometimes loudly.',
  formula:
    "nominal within nominal; V · 1.05 ≤ absolute maximum; V within the drivers' range, V · 1.1 while braking",
  source: "The board's and the drivers' own data. 5 % for trimming and 10 % for braking: common practice.",
  severity: ['error', 'info'],
  caution: CAUTION,
  bad: [example('10..20 V', 'supply/board-range: takes 20 V at most')],
  good: [example('12..24 V')],
  check(context) {
    const { board, sheet, supplyVoltage } = context.machine;
    if (!board) return;
    const { nominal, absoluteMax } = board.supply ?? {};
    const about = sheet?.supply?.place ?? board.supply?.place ?? board.place;
    const drivers = motorDrivers(context);
    if (!nominal && !absoluteMax && drivers.length === 0 && !supplyVoltage) return;
    const supply = context.need(
      supplyVoltage,
      about,
      'Add the supply\'s voltage ("supply.voltage") to the machine sheet.',
    );
    if (!supply?.place) return;
    if (!nominal && !absoluteMax) {
      context.need(
        nominal,
        supply.place,
        'Add the voltage that the board is made for ("supply.nominal"), or that it stands at most ("supply.absoluteMax"), to the board profile.',
      );
    }
    const said = [
      checkBoard(context, supply, nominal, absoluteMax),
      ...drivers.map((driver) => checkDriver(context, supply, driver)),
    ];
    if (said.some(Boolean) || (!nominal && !absoluteMax)) return;
    context.agree({
      place: supply.place,
      message: `${volts(supply.value.nom)} suits the board${range(nominal, absoluteMax)}.`,
      causes: causesOf(context, supply.place, [nominal, absoluteMax]),
    });
  },
});

const range = (nominal: NumberFact | undefined, most: NumberFact | undefined): string => {
  const parts = [
    nominal && `made for ${spanText(nominal)}`,
    most && `stands ${volts(most.value.nom)} at most`,
  ].filter((part) => part !== undefined);
  return parts.length > 0 ? ` (${listed(parts)})` : '';
};

const spanText = ({ value }: NumberFact): string =>
  value.lo === value.hi ? volts(value.nom) : `${volts(value.lo)} to ${volts(value.hi)}`;

/** True when something was said. */
function checkBoard(
  context: RuleContext,
  supply: NumberFact,
  nominal: NumberFact | undefined,
  most: NumberFact | undefined,
): boolean {
  const place = supply.place;
  if (!place) return false;
  const given = supply.value.nom;
  // A stated tolerance says more than the usual trim.
  const high = supply.value.hi > given ? supply.value.hi : given * (1 + TRIM);
  const report = (
    severity: 'error' | 'info',
    message: string,
    facts: readonly (NumberFact | undefined)[],
  ) => {
    context.report({
      severity,
      place,
      message,
      causes: causesOf(context, place, facts),
      caution: severity === 'error' ? CAUTION : undefined,
      remedies:
        severity === 'error'
          ? [inWords('Do not connect them. Fit a supply that suits the board, or another board')]
          : [],
      root: place,
    });
    return true;
  };
  if (most && exceeds(high, most.value.nom)) {
    const by = exceeds(given, most.value.nom) ? '' : `, ${volts(high)} when it is on the high side`;
    return report(
      'error',
      `The board stands ${volts(most.value.nom)} at most; your supply gives ${volts(given)}${by}.`,
      [most],
    );
  }
  if (!nominal) return false;
  const { lo, hi } = nominal.value;
  if (exceeds(given, hi * (1 + TRIM)))
    return report('error', `The board takes ${volts(hi)} at most; your supply gives ${volts(given)}.`, [
      nominal,
    ]);
  if (exceeds(lo * (1 - TRIM), given))
    return report('error', `The board needs ${volts(lo)} at least; your supply gives ${volts(given)}.`, [
      nominal,
    ]);
  if (!exceeds(given, hi) || most) return false;
  return report(
    'info',
    `The board is made for ${spanText(nominal)} and your supply gives ${volts(given)}: within what such a range means, but what its parts stand at most is not known. It is in "supply.absoluteMax" of the board profile.`,
    [nominal],
  );
}

/** Each driver family in use once, with the sockets it is in. */
function motorDrivers({
  machine,
}: RuleContext): { driver: DriverSocket; names: string[]; range: NumberFact }[] {
  const found = new Map<string, { driver: DriverSocket; names: string[]; range: NumberFact }>();
  for (const { motor } of machine.branches) {
    for (const driver of motor?.drivers ?? []) {
      const range = driver.family?.supply;
      if (!range) continue;
      const key = `${driver.family?.id} ${range.value.lo} ${range.value.hi}`;
      const one = found.get(key) ?? { driver, names: [], range };
      one.names.push(driver.name);
      found.set(key, one);
    }
  }
  return [...found.values()];
}

function checkDriver(
  context: RuleContext,
  supply: NumberFact,
  { driver, names, range }: { driver: DriverSocket; names: string[]; range: NumberFact },
): boolean {
  const place = supply.place;
  if (!place) return false;
  const given = supply.value.nom;
  const { lo, hi } = range.value;
  const title = `the ${driver.family?.title ?? 'driver'} in ${listed(names)}`;
  const causes = causesOf(context, place, [range]);
  if (exceeds(given, hi) || exceeds(lo, given)) {
    const limit = exceeds(given, hi) ? `at most ${volts(hi)}` : `at least ${volts(lo)}`;
    context.report({
      severity: 'error',
      place,
      message: `Your supply gives ${volts(given)}; ${title} takes ${limit}.`,
      causes,
      remedies: [inWords('Do not connect them. Fit drivers for this voltage, or another supply')],
      root: place,
    });
    return true;
  }
  if (!exceeds(given * (1 + BRAKING), hi)) return false;
  context.report({
    severity: 'info',
    place,
    message: `Motors that brake push the supply up to about ${volts(given * (1 + BRAKING))} for a moment; ${title} takes at most ${volts(hi)}.`,
    causes,
    caution: undefined,
    root: place,
  });
  return true;
}
