import type { PinUse } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { atMost, capitalised, causesOf, estimateNote, setSetting } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';
import { deviceWords } from '../wiring';

const example = (level: string, mark = '') => `
//- settings.h
#define TOOL_0_HEATER_PIN P9
#define TOOL_0_HEATER_ACTIVE_LEVEL ${level}${mark}
//- b.board.json
{ "name": "Example", "outputs": { "OUT1": { "pin": "P9", "kind": "transistor", "inverting": false } } }`;

const CAUTION = 'Fire hazard. Do not flash this.';

export default defineRule({
  id: 'outputs/active-level',
  title: 'Output turned round',
  what: 'The level that the settings call "on" switches the output off, and the other one switches it on.',
  why: '"Off" is full power, from the moment the firmware starts.',
  formula: 'on = (active level is high) xor (output inverts) xor (module behind it inverts) must be true',
  source: 'logic; whether output and module invert, by the board profile and the machine sheet',
  severity: ['error', 'warning', 'info'],
  caution: CAUTION,
  bad: [example('LOW', "\n                                   ^^^ outputs/active-level: 'Off' would switch")],
  good: [example('HIGH'), example('LOW').replace('"inverting": false', '"inverting": true')],
  check(context) {
    const { board, pinUses } = context.machine;
    if (!board) return;
    for (const use of pinUses) checkUse(context, use);
  },
});

/** Motor drivers have a rule of their own (`drivers/enable-level`). */
function checkUse(context: RuleContext, use: PinUse): void {
  const { settings, zones } = context.machine;
  const { id } = use.reading.concept;
  const { output } = use;
  if (!id.endsWith('.pin') || !output) return;
  const levelId = id.replace(/pin$/, 'activeLevel');
  const reading = settings.reading(levelId);
  const level = settings.choice(levelId);
  if (!reading || !level) return;
  const heater = zones.find((zone) => id === `${zone.id}.heater.pin`)?.heater;
  const module = heater?.externalSwitch;
  const inverting = context.need(
    output.inverting,
    reading,
    `Does a high pin switch ${output.name} on? Add it ("outputs.${output.name}.inverting": false if so) to the board profile.`,
  );
  if (!inverting) return;
  if (module && !module.inverting) {
    context.need<unknown>(
      undefined,
      reading,
      `Does a switched-on output switch the module on? Add it ("heaters.${heater?.name}.externalSwitch.inverting": false if so) to the machine sheet.`,
    );
    return;
  }
  const turned = inverting.value !== (module?.inverting?.value ?? false);
  const right = turned ? 'low' : 'high';
  const facts: (Fact<unknown> | undefined)[] = [inverting, module?.inverting, level];
  const causes = causesOf(context, reading.place, facts);
  if (level.value === right) {
    context.agree({ place: reading.place, message: `${right} switches ${output.name} on`, causes });
    return;
  }
  // What a bare pin leads to has an input of its own, which a low pin may switch on.
  const bare = output.kind?.value === 'logic' && !module;
  const stated = bare ? 'info' : severityOf(id);
  const note = estimateNote(facts);
  const device = deviceWords(use);
  const effect = /^fan\./.test(id)
    ? `${capitalised(device)} would run when it should rest and rest when it should run`
    : `'Off' would switch ${device} fully on, from the moment the firmware starts`;
  context.report({
    severity: note === '' ? stated : atMost(stated, 'warning'),
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: `${effect}: ${output.name} switches on with a ${right} pin${module?.inverting?.value ? ' by the module behind it' : ''}, and the setting says ${level.value}.${bare ? ` That is right only if a ${level.value} pin switches on what is behind ${output.name}.` : ''}${note}`,
    causes,
    caution: stated === 'error' ? CAUTION : undefined,
    remedies: bare ? [] : setSetting(context, reading, { choice: right }),
  });
}

const severityOf = (id: string): Severity =>
  /(?:\.heater|spindle|laser)\.pin$/.test(id) ? 'error' : 'warning';
