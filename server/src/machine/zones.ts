import { connectorByName, connectorOfPin, outputByName, outputOfPin } from '../board/find';
import type { BoardProfile } from '../board/profile';
import type { Fact, NumberFact } from '../model/fact';
import type { Settings } from '../settings/reading';
import { curveOfSensor, curveOfSettings, type SensorCurve } from './curves';
import type { Zone } from './machine';
import { namesAfter, part } from './part';
import type { MachineSheet } from './sheet';

/** Heated zones that a setting or a heater or sensor of the sheet speaks of: 'tool.0', 'tool.1' …, 'bed'. */
export function assembleZones(settings: Settings, board?: BoardProfile, sheet?: MachineSheet): Zone[] {
  const ids = new Set<string>(
    namesAfter(settings, 'tool.')
      .filter(isNumber)
      .map((tool) => `tool.${tool}`),
  );
  if (namesAfter(settings, 'bed.').length > 0) ids.add('bed');
  for (const heater of sheet?.heaters.values() ?? []) if (heater.zone) ids.add(heater.zone.value);
  for (const sensor of sheet?.temperatureSensors.values() ?? []) if (sensor.zone) ids.add(sensor.zone.value);
  return [...ids].map((id) => assembleZone(id, settings, board, sheet));
}

const isNumber = (text: string) => /^\d+$/.test(text);

export function zoneTitle(id: string): string {
  if (id === 'tool.0') return 'the tool';
  return id.startsWith('tool.') ? id.replace('tool.', 'tool ') : `the ${id}`;
}

function assembleZone(id: string, settings: Settings, board?: BoardProfile, sheet?: MachineSheet): Zone {
  const base = part(settings, id, zoneTitle(id));
  const heater = [...(sheet?.heaters.values() ?? [])].find((candidate) => candidate.zone?.value === id);
  const sensor = [...(sheet?.temperatureSensors.values() ?? [])].find(
    (candidate) => candidate.zone?.value === id,
  );
  const heaterPin = base.pin('heater.pin')?.value;
  const sensorPin = base.pin('sensor.pin')?.value;
  return {
    ...base,
    zone: id,
    guard: part(settings, `guard.${id}`, base.title),
    heater,
    wiredOutput: board && heater?.output && outputByName(board, heater.output.value),
    output: board && heaterPin !== undefined ? outputOfPin(board, heaterPin) : undefined,
    sensor,
    sensorWiredTo: board && sensor?.connector && connectorByName(board, sensor.connector.value),
    sensorConnector: board && sensorPin !== undefined ? connectorOfPin(board, sensorPin) : undefined,
    fittedCurve: sensor && curveOfSensor(sensor),
    settingsCurve: settingsCurve(base.text('sensor.curve')),
    workingTemperature: workingTemperature(id, sheet),
  };
}

const settingsCurve = (fact: Fact<string> | undefined): Fact<SensorCurve> | undefined =>
  fact && curveOfSettings(fact);

/** What the job says of tools and bed; of a chamber it says nothing. */
function workingTemperature(id: string, sheet?: MachineSheet): NumberFact | undefined {
  if (id === 'bed') return sheet?.job?.bedTemperature;
  return id.startsWith('tool.') ? sheet?.job?.toolTemperature : undefined;
}
