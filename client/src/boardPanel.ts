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
import { boardPage } from './boardPage';
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
    // What is drawn stays while the board profile is being written and cannot be read.
    if (!drawn || !panel) return drawn !== null;
    picture = drawn;
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
    made.webview.html = boardPage();
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
