/** A board and a sheet for the examples of this group; the marked places are what each example varies. */
export const exampleBoard = (socket: string, extra = ''): string => `
//- b.board.json
{
  "name": "Example",
  "logicVoltage": "3.3 V",
  "chipFacts": { "vil": "0.99 V", "vih": "2.31 V", "pullUp": "30..80 kΩ", "pullDown": "30..80 kΩ", "injectionMax": "5 mA"${extra} },
  "connectors": { "J1": { "pin": "P1", ${socket} } }
}`;

export const exampleSheet = (sensor: string): string => `
//- m.machine.json
{
  "name": "Example",
  "sensors": { "x": { "watches": "endstop.x.low", "connector": "J1", ${sensor} } }
}`;

export const fittedPullUp = (ohms = '4.7 kΩ'): string =>
  `"fitted": [{ "part": "pullUp", "resistance": "${ohms}" }, { "part": "series", "resistance": "1 kΩ" }]`;
