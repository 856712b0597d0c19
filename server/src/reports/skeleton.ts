/** A file to be written, by name, for a folder that is set up. */
export interface SkeletonFile {
  readonly name: string;
  readonly text: string;
}

export interface SkeletonRequest {
  /** Name of the folder, for the names of the new files and as the machine's first title. */
  readonly folderName: string;
  /** Names of the files that lie in the folder itself. */
  readonly files: readonly string[];
  /** Texts of the headers among them, as far as they could be read. */
  readonly texts?: Readonly<Record<string, string>>;
}

export const isHeader = (name: string): boolean => /\.(h|hh|hpp|hxx)$/i.test(name);

/**
 * The files that make a folder a project: a project file over the headers that are there, a board profile and a machine sheet with
 * nothing stated yet, all with comments that say what to fill in. A board profile or machine sheet that is there already is used, not
 * written again. The caller writes only what does not exist.
 */
export function skeleton({ folderName, files, texts = {} }: SkeletonRequest): readonly SkeletonFile[] {
  const stem = stemOf(folderName);
  const sorted = [...files].sort();
  const headers = startingHeaders(sorted.filter(isHeader), texts);
  const names = sorted.filter((name) => /\.names\.json$/i.test(name));
  const ownBoard = sorted.find((name) => /\.board\.json$/i.test(name));
  const ownMachine = sorted.find((name) => /\.machine\.json$/i.test(name));
  const board = ownBoard ?? `${stem}.board.json`;
  const machine = ownMachine ?? `${stem}.machine.json`;
  const title = JSON.stringify(folderName.trim() || 'My machine');

  return [
    { name: 'fettle.json', text: projectText(headers, board, machine, names) },
    ...(ownBoard ? [] : [{ name: board, text: boardText(title) }]),
    ...(ownMachine ? [] : [{ name: machine, text: machineText(title) }]),
  ];
}

/** The headers that no other one includes: those the build starts with. All of them when they include each other in a circle. */
function startingHeaders(
  headers: readonly string[],
  texts: Readonly<Record<string, string>>,
): readonly string[] {
  const included = new Set(
    headers.flatMap((name) =>
      [...(texts[name] ?? '').matchAll(/^[ \t]*#[ \t]*include[ \t]*"(?:\.\/)?([^"\n]+)"/gm)].map(
        ([, target]) => target,
      ),
    ),
  );
  const starting = headers.filter((name) => !included.has(name));
  return starting.length > 0 ? starting : headers;
}

/** Letters, digits and dashes of the folder's name; a file name that every system takes. */
function stemOf(folderName: string): string {
  const stem = folderName
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40);
  return stem || 'my';
}

const list = (names: readonly string[]): string =>
  `[${names.map((name) => JSON.stringify(name)).join(', ')}]`;

const projectText = (
  headers: readonly string[],
  board: string,
  machine: string,
  names: readonly string[],
): string => `// Which files belong together. Comments are allowed in every file of Fettle's own.
{
  // The headers that the build starts with, in its order; what they include is found by itself.
  "settings": ${list(headers)},
  // What the control board is made of.
  "board": ${JSON.stringify(board)},
  // What is attached to the board.
  "machine": ${JSON.stringify(machine)},
  // How the firmware names its settings; files *.names.json. Without one, Fettle's own naming is understood.
  "names": ${list(names)}
}
`;

const boardText = (
  title: string,
): string => `// Facts of the control board, from its data sheet and its schematic. All but the name may stay out: what is not stated is not checked.
// Take the two slashes off a line and put in what your board has. Values carry units, and may be ranges: "30..50 kΩ", "5 V ±5 %".
{
  "name": ${title}
  // , "chip": "stm32f407"
  // , "crystal": "8 MHz"
  // , "logicVoltage": "3.3 V"
  // , "supply": { "nominal": "12..24 V" }
  // , "uarts": [{ "port": 1, "connector": "USB" }]
  // , "connectors": {
  //     "USB": { "kind": "link" },
  //     "X-MIN": { "kind": "input", "pin": "PC0", "fitted": [{ "part": "pullUp", "resistance": "10 kΩ" }] }
  //   }
  // , "outputs": { "BED": { "pin": "PD4", "kind": "transistor", "maxCurrent": "10 A", "fuse": "F1" } }
  // , "fuses": { "F1": { "rating": "15 A", "type": "blade" } }
}
`;

const machineText = (
  title: string,
): string => `// What is attached to the board. All but the name may stay out: what is not stated is not checked.
// Take the two slashes off a line and put in what your machine has. Values carry units, and may say how good they are:
// { "value": "0.4 kg", "quality": "measured" }.
{
  "name": ${title}
  // , "kinematics": "cartesian"
  // , "supply": { "voltage": "24 V", "power": "360 W" }
  // , "motors": { "small": { "stepAngle": "1.8°", "ratedCurrent": "1.5 A" } }
  // , "axes": {
  //     "x": { "motors": [{ "motor": "small" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } }
  //   }
  // , "heaters": { "bed": { "zone": "bed", "ratedVoltage": "24 V", "ratedPower": "240 W" } }
  // , "sensors": { "xLow": { "watches": "endstop.x.low", "kind": "contact", "contact": "NC", "joins": "0 V" } }
}
`;
