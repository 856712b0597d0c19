import { fixedText, isOffText } from '../../machine/fixedValues';
import { heatBody, isHeated } from '../../machine/heatBody';
import type { Machine, Zone } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { settledTemperature } from '../../physics/thermal';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { lump } from '../heat';
import { capitalised, causesOf, estimateNote, inWords, listed, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

export default defineRule({
  id: 'guards/disabled',
  title: 'Guard switched off',
  what: 'A guard of a fitted heater, the watchdog, the cold feed guard or the idle time-out is off.',
  why: 'Guards are what stops a heater whose sensor fell out, or a firmware that hangs.',
  formula:
    'per fitted heater: rise, hold and reading guard on; watchdog on; coldest feed > 0 where a heated tool is fed. Heads for T∞ = T_a + P/G',
  source: 'ISO 12100, ISO 13732-1; heat balance: heat-transfer handbooks',
  severity: ['error', 'warning', 'info'],
  caution: 'Fire hazard. Never run unattended without it.',
  bad: [
    `
    #define GUARD_BED_HOLD_ENABLED 0
                                   ^ guards/disabled: it heads for about 278 °C
    //- a.machine.json
    {
      "name": "Example machine",
      "supply": { "voltage": "24 V" },
      "ambient": "25 °C",
      "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω", "heatLoss": "1.2 W/K" } }
    }
    `,
  ],
  good: [
    `
    #define GUARD_BED_ENABLED 1
    #define GUARD_WATCHDOG_ENABLED 1
    //- a.machine.json
    { "name": "Example machine", "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω" } } }
    `,
    `
    // A plotter: nothing here heats.
    #define GUARD_BED_ENABLED 0
    #define GUARD_WATCHDOG_ENABLED 0
    #define AXIS_X_STEPS_PER_MM 80
    `,
  ],
  check(context) {
    const heated = context.machine.zones.filter(isHeated);
    for (const zone of heated) checkZone(context, zone);
    if (heated.length > 0) checkMachine(context, heated);
  },
});

const GUARDS = [
  { name: 'riseEnabled', fault: 'has fallen out, or the heater is not joined, when it heats up' },
  { name: 'holdEnabled', fault: 'falls out' },
  { name: 'readingEnabled', fault: 'loses a wire and reads very cold' },
] as const;

function checkZone(context: RuleContext, zone: Zone): void {
  const { guard } = zone;
  const all = guard.switch('enabled');
  const outcome = heading(context.machine, zone);
  if (all?.value === false) {
    const reading = guard.reading('enabled');
    if (reading) {
      const message = `Nothing watches ${heaterTitle(zone)}. If its sensor falls out nothing stops it: ${outcome.text}.`;
      off(context, reading, 'error', message, outcome.facts);
    }
    return;
  }
  for (const { name, fault } of GUARDS) {
    const state = guard.switch(name);
    const reading = guard.reading(name);
    if (!state || !reading || state.value) continue;
    off(
      context,
      reading,
      'error',
      `If ${sensorTitle(zone)} ${fault}, nothing stops the heater: ${outcome.text}.`,
      outcome.facts,
    );
  }
  const unsaid = all ? [] : GUARDS.filter(({ name }) => guard.switch(name) === undefined);
  const fixed = fixedText(context.machine, `${guard.id}.enabled`);
  if (fixed) {
    if (unsaid.length === GUARDS.length && isOffText(fixed)) {
      reportAbsent(context, `guard for ${heaterTitle(zone)}`, fixed, [zone]);
    }
    return;
  }
  const absent = unsaid.map(({ name }) => fixedText(context.machine, `${guard.id}.${name}`));
  for (const fact of absent) {
    if (fact && isOffText(fact)) reportAbsent(context, `such guard for ${heaterTitle(zone)}`, fact, [zone]);
  }
  // One question at a time: the switch for all of them, or the first one that is not told.
  const open = unsaid.filter((_, index) => absent[index] === undefined);
  if (open.length === GUARDS.length) askFor(context, zone, 'enabled');
  else if (open[0]) askFor(context, zone, open[0].name);
  else if (all?.value && GUARDS.every(({ name }) => guard.switch(name)?.value !== false)) {
    const reading = guard.reading('enabled');
    if (reading) context.agree({ place: reading.place, message: `${heaterTitle(zone)} is watched` });
  }
}

const heaterTitle = (zone: Zone): string => `the heater of ${zone.title}`;
const sensorTitle = (zone: Zone): string => `${zone.title}'s sensor`;

function reportAbsent(context: RuleContext, what: string, fixed: Fact<string>, zones: readonly Zone[]): void {
  if (!fixed.place) return;
  const bare = zones.filter(({ heater }) => !heater?.thermalLink?.value);
  const advice =
    bare.length === 0
      ? 'that is left to the thermal link'
      : `fit a thermal link${bare.length < zones.length ? ` in the wire of ${listed(bare.map(heaterTitle))}` : ''}`;
  context.report({
    severity: 'info',
    place: fixed.place,
    message: `This firmware has no ${what}: only something in the heater's own wire can stop it. ${capitalised(advice)}.`,
    root: fixed.place,
  });
}

const askFor = (context: RuleContext, zone: Zone, guard: string): void =>
  ask(context, zone, `${zone.guard.id}.${guard}`, `whether ${heaterTitle(zone)} is watched`);

function ask(context: RuleContext, zone: Zone, id: string, what: string): void {
  const { settings } = context.machine;
  const about = zone.reading('heater.pin')?.place ?? zone.heater?.place;
  // A bad value is told by another rule, and what only the build knows cannot be added.
  if (!about || settings.readingsOf(id).some(({ entry }) => /^(?:active|undecided)$/.test(entry.state)))
    return;
  context.need(
    undefined,
    about,
    `Add ${settings.nameOf(id) ?? id} to the settings, or what the firmware does by itself (firmware.fixed) to the machine sheet, and I can say ${what}`,
  );
}

function checkMachine(context: RuleContext, heated: readonly Zone[]): void {
  const { settings, axes } = context.machine;
  const watchdog = settings.reading('guard.watchdog.enabled');
  if (watchdog && settings.switch('guard.watchdog.enabled')?.value === false) {
    off(
      context,
      watchdog,
      'error',
      'The watchdog is off. If the firmware hangs, heaters stay as they are at that moment, full power included.',
      [],
    );
  }
  const fixed = fixedText(context.machine, 'guard.watchdog.enabled');
  if (!watchdog && fixed && isOffText(fixed)) reportAbsent(context, 'watchdog', fixed, heated);
  else if (!watchdog && !fixed && heated[0]) {
    ask(context, heated[0], 'guard.watchdog.enabled', 'whether a hanging firmware is noticed');
  }
  const tools = heated.filter(({ zone }) => zone.startsWith('tool.'));
  if (tools.length > 0 && axes.some(({ feed }) => feed)) checkColdFeed(context, tools);
  const idle = settings.reading('guard.idleTimeout');
  if (idle && settings.number('guard.idleTimeout')?.value.nom === 0) {
    off(
      context,
      idle,
      'warning',
      'The idle time-out is 0: heaters that were forgotten stay on until somebody notices.',
      [],
      false,
    );
  }
}

function checkColdFeed(context: RuleContext, tools: readonly Zone[]): void {
  const { settings } = context.machine;
  const effect = 'The feed would grind against solid material, and nothing would say so.';
  const reading = settings.reading('guard.coldFeed.enabled');
  if (reading && settings.switch('guard.coldFeed.enabled')?.value === false) {
    off(context, reading, 'warning', `The cold feed guard is off. ${effect}`, []);
    return;
  }
  for (const tool of tools) {
    const least = tool.reading('minFeedTemperature');
    const value = tool.number('minFeedTemperature')?.value.nom;
    if (!least || value === undefined || value > 0) continue;
    off(
      context,
      least,
      'warning',
      `The coldest feed of ${tool.title} is ${formatQuantity(value, 'temperature')}, so it may be fed cold. ${effect}`,
      [],
      false,
    );
  }
}

function off(
  context: RuleContext,
  reading: Reading,
  severity: Severity,
  message: string,
  facts: readonly (Fact<unknown> | undefined)[],
  isSwitch = true,
): void {
  context.report({
    severity,
    place: reading.place,
    message: `${capitalised(message)}${estimateNote(facts)}`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, facts),
    remedies: isSwitch ? switchOn(context, reading) : [inWords(`Give ${reading.entry.name} a value above 0`)],
  });
}

const switchOn = (context: RuleContext, reading: Reading): Remedy[] =>
  setSetting(
    context,
    reading,
    { on: true },
    { title: `Switch ${reading.entry.name} on, then check its windows` },
  );

/** Where the heater goes when nothing stops it; nominal values, since the finding does not rest on them. */
function heading(
  machine: Machine,
  zone: Zone,
): { text: string; facts: readonly (Fact<unknown> | undefined)[] } {
  const { full, heatLoss, ambient, powerFacts } = heatBody(machine, zone);
  if (!full || !heatLoss || heatLoss.value.nom <= 0) return { text: 'it stays on at full power', facts: [] };
  const end = settledTemperature(lump(1, heatLoss.value.nom, ambient.value.nom), full.nominal.nom);
  return {
    text: `it heads for about ${formatQuantity(end, 'temperature')}`,
    facts: [...powerFacts, heatLoss, ambient],
  };
}
