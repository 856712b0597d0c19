import type { Branch } from '../../machine/branch';
import type { Heater } from '../../machine/sheet';
import { formatQuantity } from '../../units';
import { amperes, volts, watts } from '../branchFacts';
import { capitalised, causesOf, estimateNote, exceeds, inWords, listed } from '../kit';
import { marked } from '../marked';
import { defineRule, type RuleContext, type Severity } from '../rule';

const example = (noted: string, finding?: string) => {
  const voltage = '      "voltage": "230 V",';
  return `
//- m.machine.json
{
  "name": "M",
  "heaters": {
    "bed": {
${finding ? marked(voltage, '"230 V"', finding) : voltage}
      "zone": "bed", "ratedVoltage": "230 V", "ratedPower": "600 W", "alternating": true${noted}
    }
  }
}`;
};

/** Times the current that a switch on mains should be rated for: it is warm where it is; common practice. */
const SWITCH_RESERVE = 1.5;
/** V over a solid-state relay that conducts; common practice, makers' sheets give 1 to 1.6 V. */
const CONDUCTING = 1.2;

const CAUTION = 'Mains can kill. Follow local codes; have it wired and checked by a licensed electrician.';

export default defineRule({
  id: 'heating/mains-heater',
  title: 'A heater on mains',
  what: 'Says what a heater on mains needs besides the firmware, and warns while earth, fuse or thermal link are not noted, or its switch is too small.',
  why: 'The firmware cannot protect anybody here: earth, fuse and thermal link can.',
  formula:
    'above 25 V alternating or 60 V direct; I = P/V; switch rated for 1.5·I; loss in a solid-state relay about 1.2 V·I',
  source:
    'IEC 60364-4-41 (extra-low voltage), IEC 61810-1, IEC 62314, ISO 12100, IEC 60691. 1.5 and 1.2 V: common practice.',
  severity: ['error', 'warning', 'info'],
  caution: CAUTION,
  bad: [
    example('', 'heating/mains-heater: Not noted on the sheet'),
    example(', "earthed": true, "ownFuse": true, "thermalLink": true', 'heating/mains-heater: runs on mains'),
  ],
  good: [
    `
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", "ratedVoltage": "24 V", "ratedPower": "200 W" } } }`,
  ],
  check(context) {
    for (const branch of context.machine.branches) {
      if (branch.source === 'mains' && branch.heater) checkHeater(context, branch, branch.heater);
    }
  },
});

function checkHeater(context: RuleContext, branch: Branch, heater: Heater): void {
  const place = (heater.voltage ?? heater.ratedVoltage ?? heater.alternating)?.place ?? heater.place;
  const direct = onBoard(branch);
  const { absent, unsaid } = safeguards(heater);
  const path = `"heaters.${heater.name}`;
  if (heater.earthed === undefined)
    context.need(undefined, place, `Is the plate earthed? Note it (${path}.earthed") on the machine sheet.`);
  if (heater.thermalLink === undefined && !heater.noLinkReason)
    context.need(
      undefined,
      place,
      `Is there a thermal link in its wire? Note it (${path}.thermalLink") on the machine sheet.`,
    );
  const current = branch.nominalCurrent?.value.nom;
  const weak = switchIsWeak(branch, current);
  const severity: Severity =
    direct || weak === 'error' ? 'error' : absent.length + unsaid.length > 0 || weak ? 'warning' : 'info';
  const facts = [branch.voltage, heater.ratedPower ?? heater.resistance, heater.externalSwitch?.rating];
  const said = [
    `${capitalised(branch.title)} runs on mains${figures(branch, current)}.`,
    direct ? `It hangs on ${direct} directly: an output of the board is not made for this.` : '',
    weak ? switchText(branch, current ?? 0, weak) : '',
    absent.length > 0 ? `It has no ${listed(absent, 'and no')}.` : '',
    unsaid.length > 0 ? `Not noted on the sheet: ${listed(unsaid)}.` : '',
    'The plate must be earthed, have its own fuse and a thermal link; the firmware cannot protect you here.',
  ];
  context.report({
    severity,
    place,
    message: `${said.filter(Boolean).join(' ')}${estimateNote(facts)}`,
    causes: causesOf(context, place, [
      ...facts,
      heater.earthed,
      heater.ownFuse,
      heater.thermalLink,
      direct ? heater.output : undefined,
    ]),
    remedies: [inWords('Have it wired and checked by a licensed electrician, by local codes')],
    root: place,
  });
}

/** The output's name when nothing made for mains stands between board and heater. */
function onBoard({ externalSwitch, output, heater }: Branch): string | undefined {
  if (externalSwitch || !heater?.output || !output) return undefined;
  const kind = output.kind?.value;
  return kind === 'relay' || kind === 'zeroCross' ? undefined : output.name;
}

function safeguards(heater: Heater): { absent: string[]; unsaid: string[] } {
  const fuse = heater.ownFuse ?? (heater.externalSwitch?.fuse && { value: true });
  const link =
    heater.thermalLink?.value === false && heater.noLinkReason
      ? { value: true }
      : (heater.thermalLink ?? (heater.noLinkReason && { value: true }));
  const all = [
    { name: 'earth on its plate', fact: heater.earthed },
    { name: 'fuse of its own', fact: fuse },
    { name: 'thermal link', fact: link },
  ];
  return {
    absent: all.filter(({ fact }) => fact?.value === false).map(({ name }) => name),
    unsaid: all.filter(({ fact }) => fact === undefined).map(({ name }) => name),
  };
}

function switchRating({ externalSwitch, output }: Branch) {
  if (externalSwitch) return externalSwitch.rating;
  return output?.kind?.value === 'relay' || output?.kind?.value === 'zeroCross'
    ? output.maxCurrent
    : undefined;
}

function switchIsWeak(branch: Branch, current: number | undefined): 'error' | 'warning' | undefined {
  const rating = switchRating(branch)?.value.nom;
  if (rating === undefined || current === undefined) return undefined;
  if (exceeds(current, rating)) return 'error';
  return exceeds(SWITCH_RESERVE * current, rating) ? 'warning' : undefined;
}

const switchText = (branch: Branch, current: number, weak: 'error' | 'warning'): string =>
  `Its switch is made for ${amperes(switchRating(branch)?.value.nom ?? 0)}${weak === 'error' ? '' : ', which leaves no reserve where it is warm'}: ${amperes(SWITCH_RESERVE * current)} or more it should be.`;

function figures(branch: Branch, current: number | undefined): string {
  const voltage = branch.voltage?.value.nom ?? branch.heater?.ratedVoltage?.value.nom;
  if (voltage === undefined) return '';
  if (current === undefined) return ` (${volts(voltage)})`;
  const solid = branch.externalSwitch?.kind?.value ?? branch.output?.kind?.value;
  const loss =
    solid === 'zeroCross'
      ? `, ${formatQuantity(CONDUCTING * current, 'power', { digits: 2 })} lost in its switch, which needs a heat sink`
      : '';
  return ` (${volts(voltage)}, ${watts(voltage * current)}, ${amperes(current)}${loss})`;
}
