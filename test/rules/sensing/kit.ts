/** A tool at a working temperature, with the sensor's curve or the socket's pull-up to be varied. */
export const curveProject = (options: { settings: string; sensor?: string; job?: string }): string => `
//- settings.h
#define TOOL_0_SENSOR_CURVE ${options.settings}
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "${options.job ?? '200 °C'}" }${
  options.sensor === undefined
    ? ''
    : `, "temperatureSensors": { "t": { "zone": "tool.0", ${options.sensor} } }`
} }`;

export const pullUpProject = (options: {
  settings: string;
  fitted?: string;
  sensor?: string;
  job?: string;
  before?: string;
  after?: string;
}): string => `
//- settings.h
#define TOOL_0_SENSOR_PIN P3
${options.before ?? ''}
#define TOOL_0_SENSOR_PULL_UP_OHM ${options.settings}
${options.after ?? ''}
//- b.board.json
{ "name": "B", "connectors": { "T0": { "kind": "sensor", "pin": "P3"${
  options.fitted === undefined ? '' : `, "fitted": [{ "part": "pullUp", "resistance": ${options.fitted} }]`
} } } }
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "${options.job ?? '200 °C'}" }, "temperatureSensors": { "t": { "zone": "tool.0", ${
  options.sensor ?? '"curve": "ntc-100k-3950"'
} } } }`;
