import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CONCEPTS, type NameMap, type NewValue, neutralName, readNameMap } from '../../server/src/settings';
import { toSi } from '../../server/src/units';
import { applyEdit, settingsOf } from './kit';

const concepts = [...CONCEPTS.values()];
const concept = fc.constantFrom(...concepts);

const STYLES: Readonly<Record<string, readonly string[]>> = {
  number: ['80', '80.0', '80.00f', '(80)', '-3.5', '1e3', '80.'],
  integer: ['80', '80U', '0x10', '(80)', '80L'],
  switch: ['ON', '0', 'true', 'no', '"off"', ''],
  pin: ['P1', 'none', '7', '"PA3"'],
  text: ['"one"', 'one', '1'],
  curve: ['"one"', 'one', '1'],
  choice: ['LOW', 'low', '"low"', 'rubbish'],
};

/** A value that the concept can take: numbers in its own unit with up to eight digits. */
const valueFor = (
  type: string,
  unit: string | undefined,
  quantity: (typeof concepts)[number]['quantity'],
  choices: readonly string[],
) => {
  switch (type) {
    case 'number':
      return fc
        .tuple(fc.integer({ min: -99_999_999, max: 99_999_999 }), fc.integer({ min: -6, max: 3 }))
        .map(([digits, power]): NewValue => ({ si: inSi(Number(`${digits}e${power}`), unit, quantity) }));
    case 'integer':
      return fc
        .integer({ min: 0, max: 2 ** 31 - 1 })
        .map((value): NewValue => ({ si: inSi(value, unit, quantity) }));
    case 'switch':
      return fc.boolean().map((on): NewValue => ({ on }));
    case 'choice':
      return fc.constantFrom(...choices).map((choice): NewValue => ({ choice }));
    case 'pin':
      return fc.constantFrom('P14', 'PA3', '27', 'PB_12').map((pin): NewValue => ({ pin }));
    default:
      return fc.constantFrom('two', 'ntc-100k-3950', 'Heron 3', '42').map((text): NewValue => ({ text }));
  }
};

const inSi = (
  value: number,
  unit: string | undefined,
  quantity: (typeof concepts)[number]['quantity'],
): number => (unit === undefined ? value : (toSi(value, unit, quantity) ?? Number.NaN));

const spelledCase = concept.chain((one) =>
  fc.record({
    one: fc.constant(one),
    style: fc.constantFrom(...(STYLES[one.type] ?? [])),
    value: valueFor(
      one.type,
      one.unit,
      one.quantity,
      (one.choices ?? []).map(({ id }) => id),
    ),
  }),
);

function expectSame(header: string, maps: readonly NameMap[], id: string, value: NewValue): void {
  const settings = settingsOf(header, maps);
  if ('si' in value) {
    const read = settings.number(id)?.value.nom ?? Number.NaN;
    // Twelve significant digits are written.
    expect(Math.abs(read - value.si), header).toBeLessThanOrEqual(Math.abs(value.si) * 1e-11);
  } else if ('on' in value) expect(settings.switch(id)?.value, header).toBe(value.on);
  else if ('choice' in value) expect(settings.choice(id)?.value, header).toBe(value.choice);
  else if ('pin' in value) expect(settings.pin(id)?.value, header).toBe(value.pin);
  else expect(settings.text(id)?.value, header).toBe(value.text);
}

describe('spell, then read', () => {
  it('gives every value back, whatever stood there before', () => {
    fc.assert(
      fc.property(spelledCase, ({ one, style, value }) => {
        const header = `#define ${neutralName(one)} ${style}`.trimEnd();
        const settings = settingsOf(`${header} // kept\n`);
        const reading = settings.all[0];
        expect(reading).toBeDefined();
        const edit = reading && settings.edit(reading, value);
        expect(edit, header).toBeDefined();
        const after = edit ? applyEdit(`${header} // kept\n`, edit) : '';
        expect(after.startsWith(`#define ${neutralName(one)} `) && after.endsWith(' // kept\n'), after).toBe(
          true,
        );
        expectSame(after, [], one.id, value);
      }),
      { numRuns: 600 },
    );
  });

  it('gives every number back in foreign units, scales and lists', () => {
    const foreign = fc.record({
      entry: fc.constantFrom(
        { id: 'axis.x.maxSpeed', unit: 'mm/min' },
        { id: 'axis.x.maxSpeed', unit: 'in/min' },
        { id: 'axis.x.maxAcceleration', unit: 'm/s²' },
        { id: 'axis.x.motorCurrent', unit: 'mA' },
        { id: 'axis.x.minPulseWidth', unit: 'ns' },
        { id: 'bed.maxTemperature', unit: '°F' },
        { id: 'bed.maxTemperature', unit: 'K' },
        { id: 'guard.bed.riseWindow', unit: 'min' },
      ),
      scale: fc.constantFrom(1, 0.01, 0.1, 60, 1 / 3, -1),
      index: fc.integer({ min: 0, max: 2 }),
      written: fc.integer({ min: 1, max: 999_999 }),
    });
    fc.assert(
      fc.property(foreign, ({ entry, scale, index, written }) => {
        const list = [0, 1, 2].map((at) => (at === index ? entry.id : ''));
        const map = readNameMap({ names: { kList: { list, unit: entry.unit, scale } } }, CONCEPTS);
        const quantity = CONCEPTS.get(entry.id)?.quantity;
        const value = { si: toSi(written, entry.unit, quantity) ?? Number.NaN };
        const header = '#define kList { 1, 2.0, 3 }\n';
        const settings = settingsOf(header, [map]);
        const reading = settings.reading(entry.id);
        const edit = reading && settings.edit(reading, value);
        const after = edit ? applyEdit(header, edit) : '';
        const read = settingsOf(after, [map]).number(entry.id)?.value.nom ?? Number.NaN;
        expect(Math.abs(read - value.si), after).toBeLessThanOrEqual(Math.max(1, Math.abs(value.si)) * 1e-9);
        expect(after.replace(/\{.*\}/, '')).toBe(header.replace(/\{.*\}/, ''));
      }),
      { numRuns: 200 },
    );
  });
});
