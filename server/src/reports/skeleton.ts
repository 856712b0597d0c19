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
}

/**
 * The files that make a folder a project: a project file over the headers that are there, a board profile and a machine sheet with
 * nothing stated yet, all with comments that say what to fill in. A board profile or machine sheet that is there already is used, not
 * written again. The caller writes only what does not exist.
 */
export function skeleton({ folderName, files }: SkeletonRequest): readonly SkeletonFile[] {
  const stem = stemOf(folderName);
  const sorted = [...files].sort();
  const headers = sorted.filter((name) => /\.(h|hh|hpp|hxx)$/i.test(name));
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
  // Settings files, in the order in which the firmware includes them.
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
): string => `// Facts of the control board, from its data sheet and schematic. Everything is optional: what is not stated is not checked.
// Values carry units: "16 MHz", "4.7 kΩ", "30..50 kΩ", "24 V".
{
  "name": ${title}
}
`;

const machineText = (
  title: string,
): string => `// What is attached to the board. Everything is optional: what is not stated is not checked.
// Values carry units: "24 V", "2 mm", "0.4 kg", "1.8 deg".
{
  "name": ${title}
}
`;
