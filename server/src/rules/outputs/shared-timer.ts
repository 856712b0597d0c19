import type { PinUse } from '../../machine/machine';
import {
  onOnePin,
  SOFTWARE_RATE,
  type TimerRow,
  type TimerUser,
  timerOfPin,
  timerTable,
} from '../../machine/timers';
import { over } from '../../model/interval';
import type { Place } from '../../model/place';
import { formatInterval, formatNumber } from '../../units';
import { freePins, freeWords } from '../freePins';
import { atMost, capitalised, causesOf, estimateNote, exceeds, inWords, judgeSteps, listed } from '../kit';
import { defineRule, lower, type RuleContext, type Severity } from '../rule';
import { deviceWords, isHeater } from '../wiring';

const example = (source: string, mark = '') => `
#define TOOL_0_HEATER_PIN PB0
#define TOOL_0_HEATER_PWM_FREQUENCY_HZ 10
#define TOOL_0_HEATER_PWM_SOURCE ${source}
#define FAN_PART_PIN PB1
#define FAN_PART_PWM_SOURCE hardware
#define FAN_PART_PWM_FREQUENCY_HZ 25000${mark}
//- a.board.json
{ "name": "Example board", "pins": { "PB0": { "timer": "TIM3", "channel": "3" }, "PB1": { "timer": "TIM3", "channel": "4" } } }
`;

/** Fewer steps of duty than this make a coarse output. Common practice. */
const FEW_STEPS = 100;

export default defineRule({
  id: 'outputs/shared-timer',
  title: 'One timer, two frequencies',
  what: 'Outputs whose pulses one timer makes are to run at different frequencies, or the firmware takes the timer for itself.',
  why: "One of them gets the other's frequency: a heater's transistor overheats, a fan howls, steps are lost.",
  formula:
    'all pins on one timer have one frequency, and all pins on one channel one duty; duty steps = f_timer/f',
  source:
    'microcontroller data sheets: one period register a timer, one compare register a channel; 100 steps: common practice',
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [example('hardware', '\n                                  ^^^^^ outputs/shared-timer: share TIM3')],
  good: [example('software')],
  check(context) {
    const table = timerTable(context.machine);
    for (const row of table.rows) checkRow(context, row);
    for (const user of [...table.rows.flatMap(({ users }) => users), ...table.unplaced])
      checkSteps(context, user);
    for (const { use } of table.unplaced) if (use) askTimer(context, use);
    for (const use of table.unstated) askSource(context, use, table.rows);
  },
});

function askTimer(context: RuleContext, use: PinUse): void {
  context.need<unknown>(
    undefined,
    use.reading,
    `Which timer makes the pulses on ${use.pin}? Add it ("pins.${use.boardPin?.name ?? use.pin}.timer") to the board profile and I can tell what else is on it.`,
  );
}

/** Only where the answer would matter: something else is on that timer. */
function askSource(context: RuleContext, use: PinUse, rows: readonly TimerRow[]): void {
  const timer = timerOfPin(context.machine, use)?.value.trim().toUpperCase();
  const base = use.reading.concept.id.replace(/pin$/i, '');
  if (!timer || !context.machine.settings.concepts.has(`${base}pwmSource`)) return;
  const row = rows.find((one) => one.timer.toUpperCase() === timer);
  if (!row) return;
  context.need<unknown>(
    undefined,
    use.reading,
    `Does a timer make the pulses of ${deviceWords(use)}? Add it (${base}pwmSource) to the settings: ${row.timer} is used by ${listed(row.users.map(({ title }) => title))}.`,
  );
}

const placeOf = ({ frequency, use }: TimerUser): Place | undefined => frequency?.place ?? use?.reading.place;

/** Every pair that cannot have what it asks for; each user is reported once, against all that it disagrees with. */
function checkRow(context: RuleContext, row: TimerRow): void {
  const { board } = context.machine;
  const told = new Set<TimerUser>();
  for (const user of row.users) {
    if (!user.use) continue;
    const others = row.users.filter(
      (other) => other !== user && !told.has(other) && !onOnePin(board, user, other) && disagree(user, other),
    );
    // A pair is told once, at the later of its two settings.
    const earlier = others.filter(
      (other) => !other.use || row.users.indexOf(other) < row.users.indexOf(user),
    );
    if (earlier.length === 0) continue;
    report(context, row, user, earlier);
    told.add(user);
  }
}

function disagree(one: TimerUser, other: TimerUser): boolean {
  if (!one.use || !other.use) return true;
  if (sameChannel(one, other)) return true;
  const [a, b] = [one.frequency, other.frequency];
  // Equal frequencies go well together; an unknown one cannot be compared.
  return a !== undefined && b !== undefined && Math.abs(a.value.nom / b.value.nom - 1) > 1e-6;
}

const sameChannel = (one: TimerUser, other: TimerUser): boolean =>
  one.channel !== undefined &&
  other.channel !== undefined &&
  one.channel.value.trim().toUpperCase() === other.channel.value.trim().toUpperCase();

const isSteps = (user: TimerUser): boolean => !user.use && /step/i.test(user.title);

function report(context: RuleContext, row: TimerRow, user: TimerUser, others: readonly TimerUser[]): void {
  const place = placeOf(user);
  if (!place || !user.use) return;
  const all = [user, ...others];
  const sure = all.every((one) => one.sure);
  const grave = all.some((one) => isSteps(one) || (one.use && isHeater(one.use)));
  const stated: Severity = grave ? 'error' : 'warning';
  const facts = all.flatMap((one) => one.facts);
  const note = estimateNote(facts);
  const severity = sure ? stated : lower(stated);
  const { message, root } = whatHappens(row, user, others, sure);
  context.report({
    severity: note === '' ? severity : atMost(severity, 'warning'),
    place,
    concept: user.use.reading.concept.id.replace(/pin$/, 'pwmFrequency'),
    root,
    message: message + note,
    causes: causesOf(context, place, facts),
    caution:
      grave && !others.every(isSteps)
        ? 'A heater whose transistor overheats may stay on. Keep it unplugged until this is clear.'
        : undefined,
    remedies: remedies(context, row, all),
  });
}

function whatHappens(
  row: TimerRow,
  user: TimerUser,
  others: readonly TimerUser[],
  sure: boolean,
): { readonly message: string; readonly root?: Place } {
  const names = listed([user, ...others].map(({ title }) => title));
  const root = user.use?.reading.place;
  const taken = others.find(({ use }) => !use);
  const seems = sure ? '' : ' (faster than software can switch, so a timer seems to make it)';
  if (taken) {
    return {
      root,
      message: `The firmware uses ${row.timer} for ${taken.title}, and ${user.title} is to get its pulses from it${seems}. One of them gets what the other asks for: ${isSteps(taken) ? 'steps come at the wrong moments, or ' : ''}${user.title} runs at another frequency.`,
    };
  }
  const channel = others.find((other) => sameChannel(user, other));
  if (channel) {
    return {
      root,
      message: `${capitalised(user.title)} and ${channel.title} are on one channel of ${row.timer} (${user.channel?.value})${seems}: both get the same pulses, whatever each of them asks for.`,
    };
  }
  const last = [user, ...others].reduce((most, one) =>
    (one.frequency?.value.nom ?? 0) > (most.frequency?.value.nom ?? 0) ? one : most,
  );
  const hot = [user, ...others].find((one) => one.use && isHeater(one.use));
  const high = last.frequency ? formatInterval(last.frequency.value, 'frequency') : '';
  const ratio =
    hot?.frequency && last.frequency ? last.frequency.value.nom / hot.frequency.value.nom : undefined;
  const effect =
    hot && hot !== last && ratio
      ? `If the ${high} of ${last.title} win, ${hot.title} is switched ${formatNumber(ratio)} times as often, and its transistor heats up.`
      : `One of them gets the other's frequency: ${[user, ...others].map((one) => (one.frequency ? formatInterval(one.frequency.value, 'frequency') : '?')).join(' against ')}.`;
  return {
    root,
    message: `${capitalised(names)} share ${row.timer}${seems}, which has one frequency. ${effect}`,
  };
}

function remedies(context: RuleContext, row: TimerRow, all: readonly TimerUser[]) {
  const { machine } = context;
  const movable = all.find((one) => one.use && !isHeater(one.use)) ?? all.find((one) => one.use);
  const busy = new Set(
    timerTable(machine)
      .rows.map(({ timer }) => timer.toUpperCase())
      .concat(row.timer.toUpperCase()),
  );
  const free = freeWords(
    freePins(machine, 'output', (pin) => {
      const timer = pin.timer?.value.trim().toUpperCase();
      return timer !== undefined && !busy.has(timer);
    }),
  );
  const slow = all.find(
    (one) => one.use && one.frequency && !exceeds(one.frequency.value.nom, SOFTWARE_RATE),
  );
  return [
    ...(slow
      ? [
          inWords(
            `Let software make the pulses of ${slow.title}: at ${formatInterval(slow.frequency?.value ?? { lo: 0, nom: 0, hi: 0 }, 'frequency')} it can`,
          ),
        ]
      : []),
    ...(movable
      ? [
          inWords(
            free
              ? `Move ${movable.title} to a free output of another timer: ${free}`
              : `Move ${movable.title} to a pin of another timer`,
          ),
        ]
      : []),
  ];
}

/** How finely the duty can be set: counts of the timer in one period. */
function checkSteps(context: RuleContext, user: TimerUser): void {
  const clock = context.machine.board?.timerClock;
  const { use, frequency } = user;
  if (!use || !frequency || !clock) return;
  const place = frequency.place ?? use.reading.place;
  const facts = [clock, frequency];
  const steps = over([clock.value, frequency.value], (counts, rate) => counts / rate);
  const verdict = judgeSteps(
    over([steps], (count) => -count),
    [{ above: -FEW_STEPS, severity: 'info' }],
    facts,
  );
  const causes = causesOf(context, place, facts);
  const told = `${formatInterval(clock.value, 'frequency')}/${formatInterval(frequency.value, 'frequency')} gives ${formatNumber(steps.nom)} steps of duty`;
  if (!verdict) {
    context.agree({ place, message: told, causes });
    return;
  }
  context.report({
    severity: verdict.severity,
    place,
    concept: use.reading.concept.id.replace(/pin$/, 'pwmFrequency'),
    message: `${told} for ${user.title}: coarse, a step is ${formatNumber(100 / steps.nom, 2)} %.${estimateNote(facts)}`,
    causes,
    remedies: [],
  });
}
