import { Uri } from 'vscode';

/** Of a browser's names only these are needed; the rest stays unknown to the type checker. */
declare const Blob: new (parts: readonly string[], options: { readonly type: string }) => object;
declare const URL: { createObjectURL(blob: object): string };

/**
 * Address of one program made of the server's files, which it shares with the server for Node.
 * The files are modules of Node's kind, and the last one starts the server.
 *
 * @param folder where `browserServer.json` names them
 */
export async function serverProgram(folder: Uri): Promise<string> {
  const names: readonly string[] = JSON.parse(await textOf(folder, 'browserServer.json'));
  const modules = await Promise.all(
    names.map(
      async (name) =>
        `${JSON.stringify(`./${name}`)}:(module,exports,require)=>{${await textOf(folder, name)}\n}`,
    ),
  );
  const program = `(()=>{
const modules={${modules.join(',\n')}};
const loaded={};
const require=(name)=>{
if(!loaded[name]){loaded[name]={exports:{}};modules[name](loaded[name],loaded[name].exports,require)}
return loaded[name].exports};
require(${JSON.stringify(`./${names.at(-1)}`)})})()`;
  return URL.createObjectURL(new Blob([program], { type: 'text/javascript' }));
}

async function textOf(folder: Uri, name: string): Promise<string> {
  const address = Uri.joinPath(folder, name).toString(true);
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address}: ${response.status}`);
  return response.text();
}
