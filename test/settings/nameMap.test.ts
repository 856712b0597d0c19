import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { getLanguageService, TextDocument } from 'vscode-json-languageservice';
import { CONCEPTS, readNameMap } from '../../server/src/settings';
import { applyEdit, settingsOf, valuesOf } from './kit';
import { NEUTRAL, QUILLON, QUILLON_MAP } from './quillon';

const map = (names: object, more: object = {}) => readNameMap({ complete: false, names, ...more }, CONCEPTS);
const quillon = readNameMap(QUILLON_MAP, CONCEPTS);

describe('two namings of one machine', () => {
  const neutral = settingsOf(NEUTRAL);
  const other = settingsOf(QUILLON, [quillon]);

  it('read without a complaint', () => {
    expect(quillon.problems).toEqual([]);
    for (const settings of [neutral, other]) {
      expect(settings.unmappedNames).toEqual([]);
      expect(settings.all.filter(({ value }) => value.kind === 'bad').map(({ entry }) => entry.name)).toEqual(
        [],
      );
    }
  });

  it('meet the schema of name maps', async () => {
    const service = getLanguageService({});
    const document = TextDocument.create('memory:/q.names.json', 'json', 1, JSON.stringify(QUILLON_MAP));
    const schema = JSON.parse(readFileSync('schemas/names.schema.json', 'utf8'));
    const parsed = service.parseJSONDocument(document);
    const found = await service.doValidation(document, parsed, { schemaValidation: 'error' }, schema);
    expect(found.map(({ message }) => message)).toEqual([]);
  });

  it('give the very same values, well over sixty of them', () => {
    const wanted = valuesOf(neutral);
    expect(Object.keys(wanted).length).toBeGreaterThanOrEqual(75);
    expect(Object.keys(wanted).length).toBe(NEUTRAL.match(/^#define/gm)?.length);
    expect(valuesOf(other)).toEqual(wanted);
  });

  it('point at the item of a list, in the unit it is written in', () => {
    const reading = other.reading('axis.x.maxSpeed');
    expect(QUILLON.slice(reading?.place.start, reading?.place.end)).toBe('9000');
    expect(reading).toMatchObject({ writtenUnit: 'mm/min', listIndex: 1, value: { inUnit: 150 } });
  });

  it('know their own names', () => {
    expect(other.nameOf('axis.x.stepsPerMm')).toBe('qSteps');
    expect(other.nameOf('axis.x.chipSelectPin')).toBe('AXIS_X_CHIP_SELECT_PIN');
    expect(other.namesComplete).toBe(true);
    expect(other.knownNames.has('qGreeting')).toBe(true);
    expect(other.firmwareVersion).toBe('2.1');
  });

  it.each([
    ['axis.x.maxSpeed', { si: 0.1 }, '{ 750, 9000, 8400, 3600 }', '{ 750, 6000, 8400, 3600 }'],
    ['axis.z.stepsPerMm', { si: 800_000 }, '{ 40000,', '{ 80000,'],
    ['axis.x.travelHigh', { si: 0.2254 }, '-0.5, 22.3 ', '-0.5, 22.54 '],
    ['store.enabled', { on: false }, 'qForget false', 'qForget true'],
    ['guard.tool.0.enabled', { on: false }, 'qTrusting_hot no', 'qTrusting_hot yes'],
    ['machine.kinematics', { choice: 'cartesian' }, 'qGeometry 2', 'qGeometry 1'],
    ['axis.y.homeSide', { choice: 'low' }, '{ away, toward }', '{ away, away }'],
    ['axis.x.microsteps', { si: 32 }, 'qFine_x 4', 'qFine_x 5'],
    ['link.host.baud', { si: 500_000 }, 'qTalkRate 2500', 'qTalkRate 5000'],
    ['tool.0.minFeedTemperature', { si: 180 }, 'qColdest 338', 'qColdest 356'],
    ['fan.part.minDuty', { si: 0.25 }, 'qBlowLeast 0.3', 'qBlowLeast 0.25'],
    ['axis.z.secondStepPin', { pin: 'P7' }, 'qLift2 255', 'qLift2 P7'],
    ['tool.0.sensor.curve', { text: 'pt1000' }, 'qHotKind 11', 'qHotKind 12'],
    ['axis.x.directionReversed', { on: false }, '#define qFlip_x', '// #define qFlip_x'],
    ['axis.y.directionReversed', { on: true }, '// #define qFlip_y', '#define qFlip_y'],
  ] as const)('write %s anew in their own manner', (id, value, before, after) => {
    const reading = other.reading(id);
    const edit = reading && other.edit(reading, value);
    expect(edit && applyEdit(QUILLON, edit)).toBe(QUILLON.replace(before, after));
  });

  it('do not write what would change more than one setting, or what no token says', () => {
    const edit = (id: string, value: Parameters<typeof other.edit>[1]) => {
      const reading = other.reading(id);
      return reading && other.edit(reading, value);
    };
    expect(edit('axis.x.maxAcceleration', { si: 2 })).toBeUndefined();
    expect(edit('machine.kinematics', { choice: 'polar' })).toBeUndefined();
  });
});

describe('lists', () => {
  const steps = ['axis.x.stepsPerMm', 'axis.y.stepsPerMm', 'axis.z.stepsPerMm', 'axis.e0.stepsPerMm'];
  const read = (value: string, short?: string) =>
    settingsOf(`#define kSteps ${value}\n`, [map({ kSteps: { list: steps, short } })]);

  it('that are too short name what gets nothing', () => {
    const settings = read('{80, 80, 400}');
    expect(settings.number('axis.z.stepsPerMm')?.value.nom).toBe(400_000);
    expect(settings.number('axis.e0.stepsPerMm')).toBeUndefined();
    const faults = settings.all.flatMap(({ value }) => (value.kind === 'bad' ? [value.problem] : []));
    expect(faults).toEqual([
      {
        kind: 'listLength',
        message: 'This list has 3 values, 4 are expected. Nothing is left for: Feed axis 0 steps per mm.',
        candidates: [],
        missing: ['axis.e0.stepsPerMm'],
      },
    ]);
  });

  it('may repeat their last item, or leave the rest out, when the map says so', () => {
    expect(read('{80, 400}', 'repeatLast').number('axis.e0.stepsPerMm')?.value.nom).toBe(400_000);
    const allowed = read('{80, 400}', 'allowed');
    expect(allowed.number('axis.z.stepsPerMm')).toBeUndefined();
    expect(allowed.all.filter(({ value }) => value.kind === 'bad')).toEqual([]);
  });

  it('that are too long keep the values that have a place', () => {
    const settings = read('{80, 80, 400, 96, 7}');
    expect(settings.number('axis.e0.stepsPerMm')?.value.nom).toBe(96_000);
    const faults = settings.all.flatMap(({ value }) => (value.kind === 'bad' ? [value.problem.message] : []));
    expect(faults).toEqual(['This list has 5 values, 4 are expected; nothing reads the rest.']);
  });

  it('are due where a list is due', () => {
    for (const value of ['', '80 80', '{}']) {
      const bad = read(value).all.filter((reading) => reading.value.kind === 'bad');
      expect(bad.length, value).toBe(1);
    }
  });

  it('take bad items one by one', () => {
    const settings = read('{80, "80", 400, 96}');
    expect(settings.number('axis.x.stepsPerMm')?.value.nom).toBe(80_000);
    const value = settings.reading('axis.y.stepsPerMm')?.value;
    expect(value).toMatchObject({ kind: 'bad', problem: { kind: 'wrongType', candidates: ['80'] } });
  });

  it('out of a macro can be read and not edited', () => {
    const text = '#define FOUR 80, 80, 400, 96\n#define kSteps { FOUR }\n';
    const settings = settingsOf(text, [map({ kSteps: { list: steps } })]);
    const reading = settings.reading('axis.z.stepsPerMm');
    expect(reading?.value).toMatchObject({ kind: 'number', inUnit: 400 });
    expect(reading && settings.edit(reading, { si: 1000 })).toBeUndefined();
  });
});

describe('one concept under two names', () => {
  const both = map({ kFine: 'axis.x.microsteps' });
  it('is silent when they differ and speaks when they agree', () => {
    const differing = settingsOf('#define kFine 16\n#define AXIS_X_MICROSTEPS 32\n', [both]);
    expect(differing.number('axis.x.microsteps')).toBeUndefined();
    expect(differing.readingsOf('axis.x.microsteps')).toHaveLength(2);
    const agreeing = settingsOf('#define kFine 16\n#define AXIS_X_MICROSTEPS 16.0\n', [both]);
    expect(agreeing.number('axis.x.microsteps')?.value.nom).toBe(16);
  });
});

describe('names whose presence is the value', () => {
  const flip = map({ kFlip: { concept: 'axis.x.directionReversed', definedMeans: 'on' } });
  it.each([
    ['#define kFlip\n', true],
    ['#define kFlip 1\n', true],
    ['// #define kFlip\n', false],
    ['#if 0\n#define kFlip\n#endif\n', false],
    ['#define kFlip\n#undef kFlip\n', false],
    ['// #define kFlip\n#define kFlip\n', true],
    ['#ifdef FROM_THE_BUILD\n#define kFlip\n#endif\n', undefined],
    ['', undefined],
  ])('%j', (header, on) => {
    expect(settingsOf(header, [flip]).switch('axis.x.directionReversed')?.value).toBe(on);
  });
});

describe('several maps', () => {
  it('the later one wins name by name', () => {
    const first = map({ kSpeed: { concept: 'axis.x.maxSpeed', unit: 'mm/min' }, kFine: 'axis.x.microsteps' });
    const second = map({ kSpeed: 'axis.x.maxSpeed' });
    const settings = settingsOf('#define kSpeed 120\n#define kFine 8\n', [first, second]);
    expect(settings.number('axis.x.maxSpeed')?.value.nom).toBe(0.12);
    expect(settings.number('axis.x.microsteps')?.value.nom).toBe(8);
  });
});

describe('renamed settings', () => {
  it('come with the value that the new name needs', () => {
    const renaming = map(
      { kNormal: 'axis.x.directionReversed', kSpeed: { concept: 'axis.x.maxSpeed', unit: 'mm/min' } },
      {
        renamed: [
          { from: 'kInverted', to: 'kNormal', since: '2', sense: 'inverted' },
          { from: 'kFast', to: 'kSpeed', since: '2', sense: 'same', unit: 'mm/s' },
          { from: 'kOld', to: 'kSpeed', since: '2', sense: 'same' },
        ],
      },
    );
    const settings = settingsOf('#define kInverted yes\n#define kFast 150\n#define kOld 9000.0\n', [
      renaming,
    ]);
    expect(settings.renamed.map(({ rename: { to }, value }) => [to, value])).toEqual([
      ['kNormal', 'no'],
      ['kSpeed', '9000'],
      ['kSpeed', '9000.0'],
    ]);
    expect(settings.unmappedNames).toEqual([]);
    expect(settings.number('axis.x.maxSpeed')).toBeUndefined();
  });
});

describe('name maps with faults', () => {
  it('leave out what cannot be used and say where it stands', () => {
    const places: string[] = [];
    const broken = readNameMap(
      {
        names: {
          a: 'axis.x.stepsPerInch',
          b: { concept: 'axis.x.maxSpeed', unit: 'V' },
          c: { list: ['axis.x.maxSpeed', 'nothing'] },
          d: { concept: 'axis.x.maxSpeed', scale: 0 },
          e: { concept: 'axis.x.maxSpeed', definedMeans: 'on' },
          f: {},
          g: 'axis.x.microsteps',
        },
      },
      CONCEPTS,
      (path) => {
        places.push(path.join('/'));
        return undefined;
      },
    );
    expect([...broken.specs.keys()]).toEqual(['g']);
    expect(broken.problems.map(({ path }) => path.join('/'))).toEqual([
      'names/a',
      'names/b/unit',
      'names/c/list/1',
      'names/d/scale',
      'names/e/definedMeans',
      'names/f/concept',
    ]);
    expect(places).toContain('names/c/list/1');
  });

  it.each([[null], [undefined], [7], ['x'], [[]], [{ names: 3, renamed: {}, known: 'a' }]])(
    '%j is an empty map',
    (json) => {
      const empty = readNameMap(json, CONCEPTS);
      expect([empty.specs.size, empty.known.size, empty.complete]).toEqual([0, 0, false]);
    },
  );
});
