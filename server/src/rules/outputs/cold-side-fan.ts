import type { FanPart, Zone } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { formatInterval } from '../../units';
import { causesOf, estimateNote, exceeds, hedged, inWords, judge, judgeSteps, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { isSamePin } from '../wiring';

const example = (temperature: number, mark = '') => `
#define TOOL_0_HEATER_PIN P9
#define FAN_TOOL_0_PIN P7
#define FAN_TOOL_0_ON_TEMPERATURE_CELSIUS ${temperature}${mark}
`;

/** Common filaments soften from here on. Common practice. °C */
const SOFTENS = 60;
/** Targets above this without any cooling of the cold side jam in minutes. Common practice. °C */
const HOT = 180;
/** Proposed start. °C */
const EARLY = 50;

export default defineRule({
  id: 'outputs/cold-side-fan',
  title: 'Cold side of the tool not kept cold',
  what: "The fan on the tool's cold side starts too late, is not driven at all, or stops with a fan that a job may stop.",
  why: 'Heat creeps up, the filament softens where it should be stiff, and the tool jams.',
  formula:
    'assigned (or always on, or cooled by liquid), start temperature ≤ 60 °C, and not the pin or output of the part fan',
  source: '50–60 °C, where common filaments soften, and 180 °C: common practice',
  severity: ['error', 'warning', 'info'],
  bad: [
    example(
      120,
      '\n                                          ^^^ outputs/cold-side-fan: starts only at 120 °C',
    ),
  ],
  good: [example(50)],
  check(context) {
    for (const zone of context.machine.zones) if (zone.zone !== 'bed') checkTool(context, zone);
  },
});

function checkTool(context: RuleContext, zone: Zone): void {
  const { fans } = context.machine;
  if (!zone.pin('heater.pin') || zone.heater?.liquidCooled?.value) return;
  const fan = fans.find(({ id }) => id === `fan.${zone.zone}`);
  if (fan?.fan?.alwaysOn?.value) {
    const place = fan.reading('pin')?.place ?? zone.reading('heater.pin')?.place;
    if (place)
      context.agree({
        place,
        message: `The fan on the cold side of ${zone.title} is always on`,
        causes: causesOf(context, place, [fan.fan.alwaysOn]),
      });
    return;
  }
  if (fan?.pin('pin')) {
    checkShared(context, zone, fan);
    checkStart(context, zone, fan);
    return;
  }
  checkUnassigned(context, zone, fan);
}

function checkStart(context: RuleContext, zone: Zone, fan: FanPart): void {
  const pin = fan.reading('pin');
  const reading = fan.reading('onTemperature');
  const start = fan.number('onTemperature');
  if (!reading || !start) {
    if (pin)
      context.need(
        undefined,
        pin,
        `Add the temperature at which this fan starts (${fan.id}.onTemperature) to the settings and I can check it.`,
      );
    return;
  }
  const verdict = judgeSteps(start.value, [{ above: SOFTENS, severity: 'warning' }], [start]);
  const causes = causesOf(context, reading.place, [start]);
  const at = formatInterval(start.value, 'temperature');
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `The fan starts at ${at}, before filament softens (from about ${SOFTENS} °C)`,
      causes,
    });
    return;
  }
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: `The fan that keeps the feed path of ${zone.title} cold starts only at ${at}. Filament softens from about ${SOFTENS} °C: it ${hedged(verdict, 'will', 'may')} jam.`,
    causes,
    remedies: setSetting(context, reading, { si: EARLY }),
  });
}

/** A fan that a job may stop, or that stands still for the first layers, cools the cold side only while it runs. */
function checkShared(context: RuleContext, zone: Zone, fan: FanPart): void {
  const { machine } = context;
  const part = machine.fans.find(({ id }) => id === 'fan.part');
  const [own, other] = [fan.pin('pin'), part?.pin('pin')];
  const reading = fan.reading('pin');
  if (!part || !reading) return;
  const onePin = own && other && isSamePin(machine, own.value, other.value);
  const oneOutput = fan.wiredOutput !== undefined && fan.wiredOutput === part.wiredOutput;
  if (!onePin && !oneOutput) return;
  context.report({
    severity: 'warning',
    place: reading.place,
    concept: reading.concept.id,
    message: `The fan that keeps the feed path of ${zone.title} cold ${onePin ? `shares ${own.value}` : `is in ${fan.wiredOutput?.name}`} with the part fan. Whenever a job stops the part fan, the cold side is not cooled and filament softens.`,
    causes: [...causesOf(context, reading.place, onePin ? [other] : [fan.fan?.output, part.fan?.output])],
    remedies: [
      inWords(
        'Give it an output of its own, or wire it to a constant supply and note that on the machine sheet',
      ),
    ],
  });
}

/** Nothing drives it. Whether it is wired to a constant supply, only the sheet can tell. */
function checkUnassigned(context: RuleContext, zone: Zone, fan: FanPart | undefined): void {
  const reading = fan?.reading('pin') ?? zone.reading('heater.pin');
  if (!reading || context.machine.settings.undecided(`fan.${zone.zone}.pin`)) return;
  // An output without a pin may well be one that is always on.
  const stated: Fact<unknown> | undefined =
    fan?.fan?.alwaysOn ?? (fan?.wiredOutput?.pin ? fan.fan?.output : undefined);
  const known = context.need(
    stated,
    reading,
    `Is the fan on the cold side of ${zone.title} always on? Add it ("fans", with "role": "fan.${zone.zone}" and "alwaysOn": true, or its "output") to the machine sheet.`,
  );
  if (!known) return;
  const target: NumberFact | undefined =
    zone.number('maxTemperature') ?? context.machine.sheet?.job?.toolTemperature;
  const facts = [known, target];
  const hot = target && exceeds(target.value.nom, HOT);
  const { machine } = context;
  const wiredPin = fan?.wiredOutput?.pin?.value;
  const driver = machine.pinUses.find(
    ({ pin }) => wiredPin !== undefined && isSamePin(machine, pin, wiredPin),
  );
  const verdict = judge('all', hot && !driver ? 'error' : 'warning', facts);
  if (!verdict) return;
  const driven = driver ? `the settings give to ${driver.title}` : 'no setting drives';
  const where = fan?.wiredOutput ? `is in ${fan.wiredOutput.name}, which ${driven}` : 'is not driven';
  const effect = driver ? `it is not cooled whenever that is off, and jams` : 'it will jam';
  const to = target ? ` The tool goes up to ${formatInterval(target.value, 'temperature')}.` : '';
  const edit =
    fan?.reading('pin') && fan.wiredOutput?.pin && !driver
      ? setSetting(
          context,
          fan.reading('pin') as NonNullable<ReturnType<FanPart['reading']>>,
          { pin: fan.wiredOutput.pin.value },
          { title: `Use ${fan.wiredOutput.pin.value}, the pin of ${fan.wiredOutput.name}` },
        )
      : [];
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `The fan that keeps the feed path of ${zone.title} cold ${where}.${to} Filament softens from about ${SOFTENS} °C: ${effect}.${estimateNote(facts)}`,
    causes: causesOf(context, reading.place, [
      ...facts,
      driver && {
        value: driver.pin,
        place: driver.reading.place,
        quality: 'stated',
        label: `pin of ${driver.title}`,
      },
    ]),
    remedies: [
      ...edit,
      inWords(
        edit.length > 0
          ? 'Or wire the fan to a constant supply, then note it on the machine sheet'
          : 'Give the fan its pin and start temperature in the settings, or wire it to a constant supply',
      ),
    ],
  });
}
