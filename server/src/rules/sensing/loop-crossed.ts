import type { Connector, Output } from '../../board/profile';
import { heatBody } from '../../machine/heatBody';
import type { Machine, Zone } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { settledTemperature } from '../../physics/thermal';
import { lump } from '../heat';
import { capitalised, causesOf, estimateNote, inWords, remedy, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { isSamePin } from '../wiring';
import { celsius } from './readings';

const example = (tool: string, bed: string, marks = ['', '']) => `
//- settings.h
#define TOOL_0_HEATER_PIN ${tool}${marks[0]}
#define TOOL_0_SENSOR_PIN P1
#define BED_HEATER_PIN ${bed}${marks[1]}
#define BED_SENSOR_PIN P2
//- b.board.json
{
  "name": "Example",
  "connectors": { "T0": { "kind": "sensor", "pin": "P1" }, "TB": { "kind": "sensor", "pin": "P2" } },
  "outputs": { "H0": { "pin": "P8" }, "HB": { "pin": "P9" } }
}
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "temperatureSensors": { "tool": { "zone": "tool.0", "connector": "T0" }, "bed": { "zone": "bed", "connector": "TB" } },
  "heaters": {
    "tool": { "zone": "tool.0", "output": "H0" },
    "bed": { "zone": "bed", "output": "HB", "resistance": "1.9 Ω", "heatLoss": "1.2 W/K" }
  }
}`;

export default defineRule({
  id: 'sensing/loop-crossed',
  title: 'A controller heats one part and watches another',
  what: 'Follows heater and sensor pin of each zone to the devices that the machine sheet has in those sockets: both must belong to one part.',
  why: 'The watched part stays cold, so the heater of the other one never goes off.',
  formula:
    'zone(sensor wired to the pin) = zone(heater wired to the output); the heated part heads for T∞ = T_a + P/G',
  source: 'The board profile and the machine sheet, exact comparison; heat balance: heat-transfer handbooks',
  severity: ['error'],
  caution: 'Fire hazard. Unplug both heaters until this is cleared.',
  bad: [
    example('P9', 'P8', [
      "\n                          ^^ sensing/loop-crossed: The tool's controller would heat the bed and watch the tool. The bed would head for 278 °C",
      "\n                       ^^ sensing/loop-crossed: The bed's controller would heat the tool and watch the bed",
    ]),
  ],
  good: [example('P8', 'P9')],
  check(context) {
    for (const zone of context.machine.zones) checkZone(context, zone);
  },
});

function checkZone(context: RuleContext, zone: Zone): void {
  const { machine } = context;
  const heaterPin = zone.reading('heater.pin');
  const sensorPin = zone.reading('sensor.pin');
  const { output, sensorConnector } = zone;
  if (!heaterPin || !sensorPin || !output || !sensorConnector) return;
  const heated = only(machine.zones.filter(({ wiredOutput }) => wiredOutput === output));
  const watched = only(
    machine.zones.filter(({ sensorWiredTo }) => sensorWiredTo === sensorConnector).filter(holdsOne(machine)),
  );
  if (!heated || !watched) {
    askFor(context, zone, output, sensorConnector, heated, watched);
    return;
  }
  const facts = [
    heated.heater?.output,
    watched.sensor?.connector,
    zone.pin('heater.pin'),
    zone.pin('sensor.pin'),
  ];
  const place = heated === zone && watched !== zone ? sensorPin.place : heaterPin.place;
  if (heated === watched) {
    context.agree({
      place,
      message: `Heater and sensor of this loop are both ${of(heated)}`,
      causes: causesOf(context, place, facts),
    });
    return;
  }
  const { text, rests } = heading(machine, heated);
  context.report({
    severity: 'error',
    place,
    concept: (place === heaterPin.place ? heaterPin : sensorPin).concept.id,
    message: `${capitalised(zone.title)}'s controller would heat ${heated.title} and watch ${watched.title}. ${capitalised(heated.title)} would ${text}.${estimateNote(rests)}`,
    causes: causesOf(context, place, [...facts, ...rests]),
    remedies: remediesOf(context, zone, place === heaterPin.place ? 'heater' : 'sensor'),
    root: place,
  });
}

const only = <T>(found: readonly T[]): T | undefined => (found.length === 1 ? found[0] : undefined);

/** A connector for several sensors does not tell which contact the sheet means. */
const holdsOne =
  ({ zones }: Machine) =>
  ({ sensorWiredTo }: Zone): boolean =>
    zones.filter((other) => other.sensorWiredTo === sensorWiredTo).length === 1;

const of = ({ title }: Zone): string => `those of ${title}`;

function askFor(
  context: RuleContext,
  zone: Zone,
  output: Output,
  connector: Connector,
  heated: Zone | undefined,
  watched: Zone | undefined,
): void {
  const { zones } = context.machine;
  const about = zone.reading(heated ? 'sensor.pin' : 'heater.pin');
  if (!about) return;
  const without = zones.find((one) => (heated ? !one.sensorWiredTo : !one.wiredOutput)) ?? zone;
  if (!heated && !zones.some(({ wiredOutput }) => wiredOutput === output)) {
    context.need(
      undefined,
      about,
      `Which output holds the heater of ${without.title}? Add it ("heaters", "output") to the machine sheet.`,
    );
  } else if (!watched && !zones.some(({ sensorWiredTo }) => sensorWiredTo === connector)) {
    context.need(
      undefined,
      about,
      `Which socket holds the sensor of ${without.title}? Add it ("temperatureSensors", "connector") to the machine sheet.`,
    );
  }
}

/** Nominal values, since the finding does not rest on them. */
function heading(
  machine: Machine,
  zone: Zone,
): { readonly text: string; readonly rests: readonly (Fact<unknown> | undefined)[] } {
  const { full, heatLoss, ambient, powerFacts } = heatBody(machine, zone);
  if (!full || !heatLoss || !(heatLoss.value.nom > 0)) return { text: 'stay at full power', rests: [] };
  const end = settledTemperature(lump(1, heatLoss.value.nom, ambient.value.nom), full.nominal.nom);
  return { text: `head for ${celsius(end)}`, rests: [...powerFacts, heatLoss] };
}

/** The pin of the own device; where another zone has it by mistake, both pins change places, or the plugs do on the sheet. */
function remediesOf(context: RuleContext, zone: Zone, kind: 'heater' | 'sensor'): Remedy[] {
  const { machine } = context;
  const own = (one: Zone) => (kind === 'heater' ? one.wiredOutput : one.sensorWiredTo)?.pin?.value;
  const socket = (one: Zone) => (kind === 'heater' ? one.heater?.output : one.sensor?.connector);
  const name = `${kind}.pin`;
  const reading = zone.reading(name);
  const right = own(zone);
  if (!reading || right === undefined) return [];
  const other = machine.zones.find((one) => {
    const pin = one.pin(name)?.value;
    return one !== zone && pin !== undefined && isSamePin(machine, pin, right);
  });
  if (!other) return setSetting(context, reading, { pin: right });
  const partner = other.reading(name);
  const home = own(other);
  const now = zone.pin(name)?.value;
  // One pin alone would then have two users.
  if (!partner || home === undefined || now === undefined || isSamePin(machine, home, right))
    return [inWords(`Use ${right} for ${zone.title}, once ${other.title} no longer uses it`)];
  const edits = [
    machine.settings.edit(reading, { pin: right }),
    machine.settings.edit(partner, { pin: home }),
  ].flatMap((edit) => edit ?? []);
  if (edits.length < 2) return [inWords(`Use ${right} for ${zone.title} and ${home} for ${other.title}`)];
  if (!isSamePin(machine, home, now))
    return [remedy(`Use ${right} for ${zone.title} and ${home} for ${other.title}`, edits)];
  const [mine, theirs] = [socket(zone), socket(other)];
  const plugs =
    mine?.place && theirs?.place
      ? [
          { place: mine.place, newText: JSON.stringify(theirs.value) },
          { place: theirs.place, newText: JSON.stringify(mine.value) },
        ]
      : [];
  return [
    remedy(`Swap the ${kind} pins of ${zone.title} and ${other.title}`, edits),
    ...(plugs.length === 2
      ? [remedy('The plugs are the other way round: correct the machine sheet', plugs)]
      : []),
  ];
}
