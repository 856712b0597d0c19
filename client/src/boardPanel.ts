import {
  Disposable,
  type Event,
  Range,
  type TextEditor,
  Uri,
  ViewColumn,
  type WebviewPanel,
  window,
} from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { type BoardPicture, type Location, requestBoardPicture } from './protocol';

export interface BoardPanel extends Disposable {
  /** Draws the board of the active document's project. */
  show(): Promise<void>;
}

/** The board's picture beside the text: it follows edits and the cursor, and a connector leads to its line. */
export function boardPanel(
  client: BaseLanguageClient,
  changed: Event<{ readonly project: string }>,
): BoardPanel {
  let panel: WebviewPanel | undefined;
  let picture: BoardPicture | undefined;
  let asked = 0;

  const draw = async (uri: string): Promise<boolean> => {
    const turn = ++asked;
    const drawn = await requestBoardPicture(client, uri);
    // A newer question has been asked meanwhile, or the panel was closed.
    if (turn !== asked) return true;
    picture = drawn ?? undefined;
    if (!drawn || !panel) return drawn !== null;
    panel.title = drawn.title;
    void panel.webview.postMessage({ svg: drawn.svg });
    mark(window.activeTextEditor);
    return true;
  };

  /** Marks the connectors that the cursor's line belongs to. */
  const mark = (editor: TextEditor | undefined): void => {
    if (!panel || !picture || !editor) return;
    const uri = editor.document.uri.toString();
    const cursor = editor.selection.active;
    const here = picture.sockets
      .filter(({ at, touches }) =>
        [at, ...touches].some((place) => sameFile(place.uri, uri) && rangeOf(place).contains(cursor)),
      )
      .map(({ id }) => id);
    void panel.webview.postMessage({ here });
  };

  const open = (): WebviewPanel => {
    const made = window.createWebviewPanel(
      'fettle.board',
      'Board',
      { viewColumn: ViewColumn.Beside, preserveFocus: true },
      { enableScripts: true, localResourceRoots: [] },
    );
    made.webview.html = page();
    made.onDidDispose(() => {
      panel = undefined;
      picture = undefined;
    });
    made.webview.onDidReceiveMessage(({ ready, socket }: { ready?: boolean; socket?: string }) => {
      if (ready && picture) {
        void made.webview.postMessage({ svg: picture.svg });
        mark(window.activeTextEditor);
      }
      const target = picture?.sockets.find(({ id }) => id === socket);
      if (target) void reveal(target.at);
    });
    return made;
  };

  const subscriptions = [
    window.onDidChangeTextEditorSelection(({ textEditor }) => mark(textEditor)),
    window.onDidChangeActiveTextEditor(mark),
    changed(({ project }) => {
      if (panel && picture && sameFile(picture.project, project)) void draw(project);
    }),
  ];
  return {
    async show() {
      const uri = window.activeTextEditor?.document.uri.toString() ?? picture?.project;
      if (uri === undefined) {
        void window.showInformationMessage('Open a settings file, a board profile or a machine sheet first.');
        return;
      }
      panel ??= open();
      const there = await draw(uri);
      if (there) panel?.reveal(undefined, true);
      else {
        panel?.dispose();
        void window.showInformationMessage(
          'There is no board to draw: the active document belongs to no project with a board profile that lists connectors, outputs or drivers.',
        );
      }
    },
    dispose() {
      panel?.dispose();
      Disposable.from(...subscriptions).dispose();
    },
  };
}

const rangeOf = ({ range: { start, end } }: Location): Range =>
  new Range(start.line, start.character, end.line, end.character);

/** Server and editor may write the same address with other escapes. */
const sameFile = (one: string, other: string): boolean =>
  Uri.parse(one).toString() === Uri.parse(other).toString();

async function reveal(target: Location): Promise<void> {
  const range = rangeOf(target);
  const editor = await window.showTextDocument(Uri.parse(target.uri), {
    viewColumn: ViewColumn.One,
    selection: new Range(range.start, range.start),
  });
  editor.revealRange(range);
}

/** Nothing is loaded from anywhere, and only this page's own script runs. */
function page(): string {
  const nonce = Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16)).join('');
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'nonce-${nonce}'">
<title>Board</title>
<style>body{padding:8px;background:var(--vscode-editor-background)}svg{max-width:100%;height:auto}</style>
</head>
<body>
<main aria-live="polite"><p>Drawing the board …</p></main>
<script nonce="${nonce}">${SCRIPT}</script>
</body>
</html>`;
}

const SCRIPT = `
const editor = acquireVsCodeApi();
const main = document.querySelector('main');
const socketOf = (target) => target instanceof Element ? target.closest('[data-socket]') : null;
const choose = (target) => {
  const socket = socketOf(target);
  if (socket) editor.postMessage({ socket: socket.dataset.socket });
  return socket !== null;
};
main.addEventListener('click', ({ target }) => choose(target));
main.addEventListener('keydown', (event) => {
  if ((event.key === 'Enter' || event.key === ' ') && choose(event.target)) event.preventDefault();
});
let here = [];
const mark = () => {
  for (const socket of main.querySelectorAll('[data-socket]')) {
    const marked = here.includes(socket.dataset.socket);
    socket.classList.toggle('here', marked);
    if (marked) socket.setAttribute('aria-current', 'true');
    else socket.removeAttribute('aria-current');
  }
};
window.addEventListener('message', ({ data }) => {
  if (data.svg) {
    const focused = socketOf(document.activeElement)?.dataset.socket;
    main.innerHTML = data.svg;
    main.removeAttribute('aria-live');
    const again = [...main.querySelectorAll('[data-socket]')].find((socket) => socket.dataset.socket === focused);
    again?.focus();
  }
  if (data.here) here = data.here;
  mark();
});
editor.postMessage({ ready: true });
`;
