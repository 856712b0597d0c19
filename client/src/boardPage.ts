/**
 * The page in the board's panel: it gets `{ svg }` and `{ here: ids }`, and sends `{ ready }` and `{ socket: id }`. Nothing is loaded from
 * anywhere, and only this page's own script runs. It knows nothing of VS Code but its colours.
 */
export function boardPage(): string {
  const nonce = Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16)).join('');
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'nonce-${nonce}'">
<title>Board</title>
<style>${STYLE}</style>
</head>
<body>
<main>
<div id="board"><p>Drawing the board …</p></div>
<section id="words" aria-label="Connector"></section>
</main>
<p id="news" role="status"></p>
<script nonce="${nonce}">${SCRIPT}</script>
</body>
</html>`;
}

/** The picture shrinks no further than its words can be read; the panel scrolls then. The news are for screen readers. */
const STYLE = `
body{padding:8px;color:var(--vscode-editor-foreground);background:var(--vscode-editor-background)}
body.vscode-high-contrast svg{--soft:1}
svg{max-width:100%;min-width:400px;height:auto}
#board{overflow-x:auto}
#words{max-width:80ch;margin:0 14px}
h1{margin:12px 0 4px;font-size:1.1em}
ul{margin:0;padding-left:1.4em}
li{margin:3px 0;overflow-wrap:anywhere}
#news{position:absolute;width:1px;height:1px;margin:0;overflow:hidden;clip-path:inset(50%)}
`;

const SCRIPT = `
const editor = acquireVsCodeApi();
const [board, words, news] = ['board', 'words', 'news'].map((id) => document.getElementById(id));
const sockets = () => [...board.querySelectorAll('[data-socket]')];
const idOf = (socket) => socket.dataset.socket;
const socketOf = (target) => target instanceof Element ? target.closest('[data-socket]') : null;
const labelOf = (socket) => socket.getAttribute('aria-label');

const choose = (target) => {
  const socket = socketOf(target);
  if (socket) editor.postMessage({ socket: idOf(socket) });
  return socket !== null;
};

/* All that is known of a connector, below the picture, where it is neither cut off nor needs a mouse. */
let told;
const tell = (socket) => {
  told = socket && idOf(socket);
  words.replaceChildren();
  if (!socket) return;
  const [name, ...lines] = socket.querySelector('title').textContent.split('\\n');
  const heading = document.createElement('h1');
  heading.textContent = name;
  const list = document.createElement('ul');
  for (const line of lines) list.append(Object.assign(document.createElement('li'), { textContent: line }));
  words.append(heading, list);
};

/* The nearest connector in the direction of an arrow; a way aside counts double. */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const middleOf = (socket) => {
  const { x, y, width, height } = socket.querySelector('.box').getBoundingClientRect();
  return [x + width / 2, y + height / 2];
};
const neighbour = (from, [dx, dy]) => {
  const [x0, y0] = middleOf(from);
  let nearest, least = Infinity;
  for (const socket of sockets()) {
    const [x, y] = middleOf(socket);
    const along = (x - x0) * dx + (y - y0) * dy;
    const way = along + 2 * Math.abs((x - x0) * dy + (y - y0) * dx);
    if (along > 1 && way < least) [nearest, least] = [socket, way];
  }
  return nearest;
};

board.addEventListener('click', ({ target }) => choose(target));
board.addEventListener('focusin', ({ target }) => tell(socketOf(target)));
board.addEventListener('keydown', (event) => {
  const socket = socketOf(event.target);
  if (!socket || event.ctrlKey || event.metaKey || event.altKey) return;
  const { key } = event;
  if (key === 'Enter' || key === ' ') choose(socket);
  else if (ARROWS[key]) neighbour(socket, ARROWS[key])?.focus();
  else if (key === 'Home') sockets()[0].focus();
  else if (key === 'End') sockets().at(-1).focus();
  else return;
  event.preventDefault();
});

let here = [];
const mark = () => {
  const marked = sockets().filter((socket) => here.includes(idOf(socket)));
  for (const socket of sockets()) {
    socket.classList.toggle('here', marked.includes(socket));
    if (marked.includes(socket)) socket.setAttribute('aria-current', 'true');
    else socket.removeAttribute('aria-current');
  }
  return marked;
};

const draw = (svg) => {
  const before = new Map(sockets().map((socket) => [idOf(socket), labelOf(socket)]));
  const focused = socketOf(document.activeElement)?.dataset.socket;
  board.innerHTML = svg;
  const find = (id) => sockets().find((socket) => idOf(socket) === id);
  /* Not while somebody writes beside it: it would take the keyboard away. */
  if (document.hasFocus()) find(focused)?.focus();
  tell(find(told));
  const changed = sockets().filter((socket) => before.size > 0 && before.get(idOf(socket)) !== labelOf(socket));
  news.textContent = changed.length > 3 ? changed.length + ' connectors changed' : changed.map(labelOf).join(' ');
};

window.addEventListener('message', ({ data }) => {
  if (data.svg) draw(data.svg);
  const moved = data.here !== undefined && data.here.join() !== here.join();
  if (moved) here = data.here;
  const [first] = mark();
  if (!moved || !first) return;
  tell(first);
  first.scrollIntoView({ block: 'nearest', inline: 'nearest' });
});
editor.postMessage({ ready: true });
`;
