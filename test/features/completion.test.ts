import { describe, expect, test } from 'vitest';
import { completionsAt } from '../../server/src/features/completion';
import { rules } from '../../server/src/rules';
import { plain } from '../kit/checkRule';
import { analysed, proposed, settingsUri } from './headers';

const board = (rest: string): string => `\n//- a.board.json\n{ "name": "Example board", ${rest} }\n`;

describe('names', () => {
  test('of settings that no line sets yet, those of parts in use first', async () => {
    const { labels, replaced } = await proposed(`
      #define AXIS_X_MICROSTEPS 16
      #define AXIS_X_ST$0
      // #define AXIS_X_MAX_SPEED_MM_PER_S 100
    `);
    expect(replaced).toBe('AXIS_X_ST');
    expect(labels).not.toContain('AXIS_X_MICROSTEPS');
    expect(labels).toContain('AXIS_X_MAX_SPEED_MM_PER_S');
    expect(labels.indexOf('AXIS_X_STEPS_PER_MM')).toBeLessThan(labels.indexOf('AXIS_Y_STEPS_PER_MM'));
    expect(new Set(labels).size).toBe(labels.length);
  });

  test('with meaning, range and a value to type over', async () => {
    const { item } = await proposed('#define AXIS_X_STEPS_PER_MM 80\n#define $0\n');
    const { detail, explain, snippet, text } = item('AXIS_Y_STEPS_PER_MM');
    expect(detail).toBe('Y steps per mm');
    expect(text).toBe('AXIS_Y_STEPS_PER_MM');
    expect(snippet).toBe(`AXIS_Y_STEPS_PER_MM \${1:80}`);
    expect(explain).toContain('as in `AXIS_X_STEPS_PER_MM`');
    expect(explain).toContain('`axis.y.stepsPerMm`');
    // What moves an axis says nothing about what feeds material.
    expect(item('AXIS_E0_STEPS_PER_MM').snippet).not.toContain('80}');
  });

  test('choices and switches are picked, switches as the settings write them', async () => {
    const { item } = await proposed('#define AXIS_X_DIRECTION_REVERSED false\n#define $0\n');
    expect(item('AXIS_X_HOME_SIDE').snippet).toBe(`AXIS_X_HOME_SIDE \${1|LOW,HIGH|}`);
    expect(item('GUARD_TOOL_0_ENABLED').snippet).toBe(`GUARD_TOOL_0_ENABLED \${1|true,false|}`);
    expect(item('AXIS_Y_DIRECTION_REVERSED').snippet).toBe(`AXIS_Y_DIRECTION_REVERSED \${1|false,true|}`);
  });

  test('a proposed limit is the safe end of what is usual; what tells parts apart is not copied', async () => {
    const { item } = await proposed(`
      #define LINK_HOST_PORT 3
      #define ENDSTOP_X_LOW_PIN PB5
      #define $0
    `);
    expect(item('GUARD_TOOL_0_MAX_READING_CELSIUS').snippet).toBe(
      `GUARD_TOOL_0_MAX_READING_CELSIUS \${1:60}`,
    );
    expect(item('LINK_PANEL_PORT').snippet).toBe('LINK_PANEL_PORT $1');
    expect(item('ENDSTOP_X_HIGH_PIN').snippet).toBe('ENDSTOP_X_HIGH_PIN $1');
  });

  test('no proposed value is out of the range that its setting can have', async () => {
    const { items } = await proposed('#define $0\n');
    const lines = items.map(({ label, snippet }) => {
      const value = /\$\{1[:|]([^,|}]*)/.exec(snippet ?? '')?.[1] ?? '';
      return `#define ${label} ${value}`;
    });
    const analysis = await analysed(
      `//- settings.h\n${lines.filter((line) => / \S+$/.test(line)).join('\n')}\n`,
    );
    expect(analysis.machine.settings.all.length).toBeGreaterThan(100);
    for (const { concept, value } of analysis.machine.settings.all) {
      expect([concept.id, value.kind]).not.toEqual([concept.id, 'bad']);
      if (value.kind !== 'number') continue;
      expect(value.inUnit, concept.id).toBeGreaterThanOrEqual(concept.hard?.lo ?? Number.NEGATIVE_INFINITY);
      expect(value.inUnit, concept.id).toBeLessThanOrEqual(concept.hard?.hi ?? Number.POSITIVE_INFINITY);
    }
  });

  test('on an empty line with the directive, in front of a value without one', async () => {
    const line = (await proposed('#define A 1\n$0\n')).item('AXIS_X_MICROSTEPS');
    expect(line.text).toBe('#define AXIS_X_MICROSTEPS');
    expect(line.filter).toBe('AXIS_X_MICROSTEPS');
    const half = await proposed('#def$0\n');
    expect(half.replaced).toBe('#def');
    expect(half.item('AXIS_X_MICROSTEPS').filter).toBe('#define AXIS_X_MICROSTEPS');
    const named = await proposed('#define AXIS_X_MIC$0RO 16\n');
    expect(named.replaced).toBe('AXIS_X_MICRO');
    expect(named.item('AXIS_X_MAX_SPEED_MM_PER_S').snippet).toBeUndefined();
  });

  test('in the naming of the project', async () => {
    const { labels, item } = await proposed(`
      #define $0
      //- a.names.json
      { "names": { "QUARTER_X": { "concept": "axis.x.stepsPerMm", "scale": 0.25 }, "QUIET": { "concept": "axis.x.driverMode", "tokens": { "7": "quiet", "8": "strong" } } } }
    `);
    expect(labels).toContain('QUARTER_X');
    expect(labels).not.toContain('AXIS_X_STEPS_PER_MM');
    expect(item('QUIET').snippet).toBe(`QUIET \${1|7,8|}`);
  });

  test('a blank that indents a line asks for nothing', async () => {
    expect((await proposed('  $0\n', { trigger: ' ' })).labels).toEqual([]);
    expect((await proposed('#define $0\n', { trigger: ' ' })).labels).not.toEqual([]);
  });

  test.each([
    ['in other text', 'int a = $0;'],
    ['in a comment', '// AX$0'],
    ['in a comment of several lines', '/* a\n AX$0\n*/'],
    ['in parameters', '#define F(AX$0'],
    ['behind a complete value', '#define AXIS_X_HOME_SIDE LOW $0'],
    ['behind a name nobody knows', '#define OWN_NAME $0'],
    ['in another directive', '#if AX$0'],
  ])('nothing %s', async (_, source) => {
    expect((await proposed(source)).labels).toEqual([]);
  });
});

describe('values', () => {
  test('choices with their effect, in the capitals that are typed', async () => {
    const { lines, item, replaced } = await proposed('#define AXIS_X_ENABLE_ACTIVE_LEVEL H$0\n');
    expect(lines).toEqual(['LOW: low', 'HIGH: high']);
    expect(item('LOW').explain).toContain('0 V on the enable pin');
    expect(replaced).toBe('H');
    expect((await proposed('#define AXIS_X_ENABLE_ACTIVE_LEVEL $0\n')).labels).toEqual(['LOW', 'HIGH']);
    expect((await proposed('#define AXIS_X_ENABLE_ACTIVE_LEVEL h$0\n')).labels).toEqual(['low', 'high']);
  });

  test('switches in the spellings that the settings use, the most used first', async () => {
    const source = `
      #define AXIS_X_DIRECTION_REVERSED 1
      #define AXIS_Y_DIRECTION_REVERSED true
      #define AXIS_Z_DIRECTION_REVERSED false
      #define GUARD_BED_ENABLED $0
    `;
    expect((await proposed(source)).lines).toEqual(['true: on', 'false: off', '1: on', '0: off']);
    expect((await proposed('#define GUARD_BED_ENABLED $0\n')).labels).toEqual(['ON', 'OFF']);
  });

  test('tokens of the name map win over the manner of the settings', async () => {
    const { lines } = await proposed(`
      #define AXIS_X_DIRECTION_REVERSED 1
      #define LIMP $0
      //- a.names.json
      { "names": { "LIMP": { "concept": "axis.x.releaseWhenIdle", "tokens": { "LOOSE": "on", "TIGHT": "off" } } } }
    `);
    expect(lines).toEqual(['LOOSE: on', 'TIGHT: off']);
  });

  test('numbers: what other parts have, and the ends of what is usual', async () => {
    const { lines } = await proposed(`
      #define AXIS_X_MICROSTEPS 16
      #define AXIS_Z_MICROSTEPS 16
      #define AXIS_E0_MICROSTEPS 8
      #define AXIS_Y_MICROSTEPS $0
    `);
    expect(lines).toEqual([
      '16: 16, as X microsteps',
      '1: 1, the low end of what is usual',
      '256: 256, the high end of what is usual',
    ]);
  });

  // Errors at 16 MHz and 16 samples a bit as the ATmega1284P's data sheet prints them in its table of baud rates: 9600 0.2 %,
  // 19 200 0.2 %, 57 600 2.1 %, 115 200 −3.5 %, 230 400 8.5 %, 500 000 0.0 % (rows uart.int.16MHz.x16.* of
  // test/reference/values/uart-baud.json); 250 000 by hand: 16 MHz / 16 / 4 exactly.
  test('baud rates with their error on the port of this board', async () => {
    const { lines, labels } = await proposed(
      `#define LINK_HOST_PORT 0\n#define LINK_HOST_BAUD $0${board(
        '"chip": "atmega1284p", "crystal": "16 MHz", "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }]',
      )}`,
    );
    const of = (rate: number) => lines.find((line) => line.startsWith(`${rate}:`));
    expect(of(9600)).toBe('9600: 0.16 % too fast from 16 MHz on this board');
    expect(of(19_200)).toContain('0.16 % too fast');
    expect(of(57_600)).toContain('2.1 % too fast');
    expect(of(115_200)).toContain('3.5 % too slow');
    expect(of(230_400)).toContain('8.5 % too fast');
    expect(of(250_000)).toBe('250000: exact from 16 MHz');
    expect(of(500_000)).toContain('exact');
    for (const good of ['250000', '9600', '38400'])
      expect(labels.indexOf(good)).toBeLessThan(labels.indexOf('115200'));
  });

  test('baud rates without a board are the standard ones, and say that nothing is known', async () => {
    const { lines } = await proposed('#define LINK_HOST_BAUD 11$0\n');
    expect(lines[0]).toBe('115200: how well the board makes it is not known yet');
  });

  // 100 Ω at 0 °C: 109.73 Ω at 25 °C by IEC 60751 (row pt100.25C of test/reference/values/pt-rtd.json). An NTC's name says its resistance at 25 °C. The share is that of a
  // voltage divider: 100 / (100 + 4.7).
  test('sensor curves with their reading at 25 °C, the fitted one first', async () => {
    const { lines } = await proposed(`
      #define BED_SENSOR_PULL_UP_OHM 4700
      #define BED_SENSOR_CURVE n$0
      //- a.machine.json
      { "name": "Example", "temperatureSensors": { "bed": { "zone": "bed", "curve": "ntc-100k-4267" } } }
    `);
    expect(lines[0]).toBe(
      "ntc_100k_4267: 100 kΩ at 25 °C, 95.5 % of the converter's range with 4.7 kΩ (the fitted sensor)",
    );
    expect(lines.find((line) => line.startsWith('pt100:'))).toContain('109.7 Ω at 25 °C');
    expect(lines.find((line) => line.startsWith('type_k:'))).toBe(
      'type_k: no resistance: it needs an amplifier',
    );
    const quoted = await proposed('#define BED_SENSOR_CURVE "n$0"\n');
    expect(quoted.labels).toContain('"ntc-100k-4267"');
    expect(quoted.replaced).toBe('"n"');
  });

  describe('pins', () => {
    const pins = board(`
      "pins": {
        "PA0": { "capabilities": ["digital", "analog"] },
        "PA1": { "capabilities": ["digital", "analog"] },
        "PB0": { "capabilities": ["digital", "pwm"] },
        "PB1": { "capabilities": ["digital"] },
        "PB2": { "capabilities": ["digital", "pwm"], "reservedFor": "boot" },
        "PC0": {}
      },
      "connectors": { "T0": { "title": "Tool sensor", "kind": "sensor", "pin": "PA1" } },
      "outputs": { "OUT1": { "pin": "PB1" } },
      "uarts": [{ "port": 0, "receivePin": "PB0" }]
    `);

    test('that can do it, with what they carry; the socket for this kind of part first', async () => {
      const { lines } = await proposed(`#define PANEL_BUTTON_PIN PA0\n#define TOOL_0_SENSOR_PIN $0${pins}`);
      expect(lines).toEqual([
        'PA1: T0 (Tool sensor), free',
        'PC0: free, what it can do is not known',
        "PA0: carries the knob's button",
      ]);
    });

    test('what software can stand in for is no must, and said', async () => {
      const { lines } = await proposed(`#define LINK_HOST_PORT 0\n#define FAN_PART_PIN P$0${pins}`);
      expect(lines).toContain('PB1: output OUT1, free, has no timer to make pulses');
      expect(lines).toContain('PB0: line of serial port 0, carries the host link');
      expect(lines.join()).not.toContain('PB2');
    });

    test('its own pin is told as it is now; without a board there are none', async () => {
      const own = await proposed(`#define TOOL_0_SENSOR_PIN PA$01${pins}`);
      expect(own.lines[0]).toBe('PA1: T0 (Tool sensor), as it is now');
      expect(own.replaced).toBe('PA1');
      expect((await proposed('#define TOOL_0_SENSOR_PIN P$0\n')).labels).toEqual([]);
    });
  });

  test('of a list, those of the item at the cursor', async () => {
    const names =
      '{ "names": { "BOTH": { "list": ["axis.x.homeSide", "guard.bed.enabled"], "short": "allowed" } } }';
    const at = (value: string) => proposed(`#define BOTH ${value}\n//- a.names.json\n${names}\n`);
    expect((await at('{ $0LOW, ON }')).labels).toEqual(['LOW', 'HIGH']);
    expect((await at('{ LOW, O$0 }')).labels).toEqual(['ON', 'OFF']);
  });

  test('a value that goes on in the next line', async () => {
    expect((await proposed('#define AXIS_X_HOME_SIDE \\\n  L$0\n')).labels).toEqual(['LOW', 'HIGH']);
  });

  test('in a branch that is not compiled too', async () => {
    expect((await proposed('#if 0\n#define AXIS_X_HOME_SIDE $0\n#endif\n')).labels).toEqual(['LOW', 'HIGH']);
  });
});

describe('allowances', () => {
  test('the word, then rules, then the reason', async () => {
    expect((await proposed('// fettle: $0\n')).labels).toEqual(['allow']);
    expect((await proposed('// fettle:a$0\n')).replaced).toBe('a');
    const listed = await proposed('// fettle: allow lin$0\n');
    expect(listed.replaced).toBe('lin');
    expect([...listed.labels].sort()).toEqual(rules.map(({ id }) => id).sort());
    const second = await proposed('/* fettle: allow link/baud-unreachable, $0 */\n');
    expect(second.labels[0]).toBe('because');
    expect(second.labels).not.toContain('link/baud-unreachable');
    expect((await proposed('// fettle: allow link/baud-unreachable because $0\n')).labels).toEqual([]);
  });

  test('what is found on this line or the next stands first, with the message', async () => {
    const { items } = await proposed('// fettle: allow $0\n#define AXIS_X_MICROSTEPS none\n', {}, true);
    expect(items[0]?.label).toBe('names/wrong-type');
    expect(plain(items[0]?.explain ?? '')).toContain('microsteps');
  });

  test('in comments only', async () => {
    expect((await proposed('#define A "fettle: $0"\n')).labels).toEqual([]);
    expect((await proposed('/*\n * fettle: $0\n */\n')).labels).toEqual(['allow']);
    expect((await proposed('// a /* b\nfettle: $0\n')).labels).toEqual([]);
  });
});

test('every offset of broken and half-typed text is survived, and what is replaced holds the cursor', async () => {
  const text = [
    '/* a',
    '#define AXIS_X_MICROSTEPS */ #define AXIS_X_HOME_SIDE lo',
    '#define LINK_HOST_BAUD \\',
    '  { 11, (22',
    '# define',
    '#define "x',
    '// fettle: allow a/b, because',
    '#if (',
    '#define TOOL_0_SENSOR_PIN PA\u{1F600}\u0000',
    '/* fettle:',
  ].join('\r\n');
  const analysis = await analysed(`//- settings.h\n${text}`);
  const own = analysis.texts.get(settingsUri) ?? '';
  for (let offset = 0; offset <= own.length; offset++) {
    const found = completionsAt(analysis, { uri: settingsUri, offset, rules });
    if (!found) continue;
    expect(found.place.start).toBeLessThanOrEqual(offset);
    expect(found.place.end).toBeGreaterThanOrEqual(offset);
    expect(own.slice(found.place.start, found.place.end)).not.toMatch(/[\r\n]/);
  }
});
