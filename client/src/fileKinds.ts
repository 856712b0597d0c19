/** Fettle's own kinds of file, by pattern: they keep the language that VS Code gives them. */
const ownFiles = ['**/fettle.json', '**/*.board.json', '**/*.machine.json', '**/*.names.json'];

type Filter = { readonly scheme?: string } & ({ readonly language: string } | { readonly pattern: string });

/** @param scheme where documents lie; every place a browser can open when absent */
export function documentSelector(scheme?: string): Filter[] {
  const at = scheme === undefined ? {} : { scheme };
  return [
    { ...at, language: 'c' },
    { ...at, language: 'cpp' },
    ...ownFiles.map((pattern) => ({ ...at, pattern })),
  ];
}
