import type { Analysis } from '../../project/analysis';
import type { Severity } from '../../rules/rule';
import { BOX, type Box, layOut } from './layout';
import { type Socket, socketsOf, worst } from './sockets';

export interface BoardPicture {
  readonly svg: string;
  readonly sockets: readonly Socket[];
}

/**
 * The board of a project as a picture: every connector with what is plugged in and which setting drives it, findings marked by shape, text
 * and colour. Nothing without a board profile.
 */
export function boardPicture(analysis: Analysis): BoardPicture | undefined {
  const { board } = analysis.machine;
  const sockets = socketsOf(analysis);
  if (!board || sockets.length === 0) return undefined;
  const layout = layOut(sockets);
  const { width, height, middle } = layout;
  const chip = board.chip?.title ?? '';
  const elsewhere = analysis.findings.filter(
    (finding) => shown(finding.severity) && !sockets.some(({ findings }) => findings.includes(finding)),
  ).length;
  const others =
    elsewhere > 0 ? `${elsewhere} ${elsewhere === 1 ? 'finding' : 'findings'} about no connector` : '';
  const name = board.name.value;
  const title = `${name}: ${sockets.length} connectors, ${countText(sockets)}`;
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${round(width)} ${round(height)}" width="${round(width)}" height="${round(height)}" role="group" aria-label="${escaped(title)}" font-family="system-ui, sans-serif" font-size="12">
<title>${escaped(name)}</title>
<style>${STYLE}</style>
<rect class="board" ${rect(layout.board)} rx="14"/>
<text class="board-name" x="${round(middle.x + middle.width / 2)}" y="${round(middle.y + middle.height / 2)}">${escaped(clip(name, middle.width, 10))}</text>
<text class="board-chip" x="${round(middle.x + middle.width / 2)}" y="${round(middle.y + middle.height / 2 + 20)}">${escaped(clip(chip, middle.width))}</text>
<text class="board-chip" x="${round(middle.x + middle.width / 2)}" y="${round(middle.y + middle.height / 2 + 38)}">${others}</text>
${sockets.map((socket) => socketSvg(socket, layout.boxes.get(socket)!)).join('\n')}
</svg>
`;
  return { svg, sockets };
}

function countText(sockets: readonly Socket[]): string {
  const marked = sockets.filter((socket) => shown(worst(socket)));
  return marked.length === 0 ? 'no findings' : `findings at ${marked.map(({ name }) => name).join(', ')}`;
}

/** Hints mark no socket: they ask for nothing. */
const shown = (severity: Severity | undefined): boolean => severity !== undefined && severity !== 'hint';

function socketSvg(socket: Socket, box: Box): string {
  const { name, kind, plugged, settings, findings } = socket;
  const severity = worst(socket);
  const mark = severity && shown(severity) ? severity : undefined;
  const what = plugged.length > 0 ? plugged.join(', ') : 'nothing plugged in';
  const drivenBy = settings.length > 0 ? settings.join(', ') : 'no setting';
  const counted = findings.filter((finding) => shown(finding.severity));
  const told = counted.map((finding) => `${WORDS[finding.severity]}: ${finding.message}`);
  const label = [`${name}, ${KINDS[kind]}`, what, drivenBy, ...told].join('. ');
  const room = BOX.width - 20;
  return `<g class="socket ${kind}${mark ? ` ${mark}` : ''}" data-socket="${escaped(socket.id)}" tabindex="0" role="button" aria-label="${escaped(label)}" transform="translate(${round(box.x)} ${round(box.y)})">
<title>${escaped([`${name} (${KINDS[kind]})`, what, ...settings, ...told].join('\n'))}</title>
<rect class="box" width="${BOX.width}" height="${BOX.height}" rx="6"/>
<rect class="edge" width="6" height="${BOX.height}" rx="3"/>
<text class="name" x="14" y="19">${escaped(clip(name, room - (mark ? 44 : 0), 7.5))}</text>
<text class="what${plugged.length === 0 ? ' none' : ''}" x="14" y="37">${escaped(clip(what, room))}</text>
<text class="setting" x="14" y="54">${escaped(clip(drivenBy, room, 6.1))}</text>
${mark ? sign(mark, counted.length) : ''}</g>`;
}

const KINDS: Record<Socket['kind'], string> = {
  link: 'link',
  input: 'input',
  sensor: 'temperature sensor',
  output: 'output',
  motor: 'motor',
  supply: 'supply',
  other: 'other connector',
};

const WORDS: Record<Severity, string> = { error: 'Error', warning: 'Warning', info: 'Note', hint: 'Hint' };

/** A shape for each severity, so that the picture reads without colours, with the number of findings beside it. */
function sign(severity: Severity, count: number): string {
  const at = `translate(${BOX.width - 22} 15)`;
  const number = count > 1 ? `<text class="count" x="-12" y="4">${count} ×</text>` : '';
  return `<g class="sign" transform="${at}">${number}${SHAPES[severity]}</g>\n`;
}

const SHAPES: Record<Severity, string> = {
  error:
    '<path class="shape" d="M-4-9H4L9-4V4L4 9H-4L-9 4V-4Z"/><path class="stroke" d="M-4-4 4 4M4-4-4 4"/>',
  warning: '<path class="shape" d="M0-9 10 8H-10Z"/><path class="stroke" d="M0-3V3M0 5V6"/>',
  info: '<circle class="shape" r="9"/><path class="stroke" d="M0-1V5M0-5V-4"/>',
  hint: '',
};

/** An editor's colours where it has them, else quiet ones of our own for light and dark pages. */
const STYLE = `
svg{--ink:var(--vscode-editor-foreground,#1f2a33);--paper:var(--vscode-editor-background,#fff);--quiet:var(--vscode-descriptionForeground,#5b6872);--line:var(--vscode-contrastBorder,var(--vscode-editorWidget-border,#9aa7b1));--fill:var(--vscode-editorWidget-background,#f3f6f8);--error:var(--vscode-editorError-foreground,#b3261e);--warning:var(--vscode-editorWarning-foreground,#8a5a00);--info:var(--vscode-editorInfo-foreground,#22578f);--focus:var(--vscode-focusBorder,#22578f);background:var(--paper)}
@media(prefers-color-scheme:dark){svg{--ink:var(--vscode-editor-foreground,#e3e9ee);--paper:var(--vscode-editor-background,#161c21);--quiet:var(--vscode-descriptionForeground,#a4b1bb);--line:var(--vscode-contrastBorder,var(--vscode-editorWidget-border,#55636e));--fill:var(--vscode-editorWidget-background,#202930);--error:var(--vscode-editorError-foreground,#ff8a80);--warning:var(--vscode-editorWarning-foreground,#f0c060);--info:var(--vscode-editorInfo-foreground,#8ec1ff);--focus:var(--vscode-focusBorder,#8ec1ff)}}
text{fill:var(--ink)}
.board{fill:none;stroke:var(--line);stroke-width:2}
.board-name{text-anchor:middle;font-size:17px;font-weight:600}
.board-chip{text-anchor:middle;fill:var(--quiet)}
.box{fill:var(--fill);stroke:var(--line)}
.edge{fill:var(--line)}
.name{font-weight:600;font-size:13px}
.what.none,.setting,.count{fill:var(--quiet)}
.setting{font-family:ui-monospace,monospace;font-size:10px}
.count{text-anchor:end;font-size:11px}
.socket{cursor:pointer;outline:none}
.socket:focus-visible .box,.socket.here .box{stroke:var(--focus);stroke-width:3}
.error .box{stroke:var(--error);stroke-width:2}.error .edge,.error .shape{fill:var(--error)}
.warning .box{stroke:var(--warning);stroke-width:2;stroke-dasharray:7 3}.warning .edge,.warning .shape{fill:var(--warning)}
.info .box{stroke:var(--info);stroke-dasharray:2 3}.info .edge,.info .shape{fill:var(--info)}
.stroke{fill:none;stroke:var(--paper);stroke-width:2;stroke-linecap:round}
`.trim();

const rect = ({ x, y, width, height }: Box): string =>
  `x="${round(x)}" y="${round(y)}" width="${round(width)}" height="${round(height)}"`;

const round = (value: number): number => Math.round(value * 10) / 10;

/** As much of a text as fits into `width` px at about `each` px a character. */
function clip(text: string, width: number, each = 6.6): string {
  const most = Math.max(1, Math.floor(width / each));
  return text.length <= most ? text : `${text.slice(0, most - 1)}…`;
}

// Characters that XML 1.0 has no way to write are left out.
const escaped = (text: string): string =>
  text
    // biome-ignore lint/suspicious/noControlCharactersInRegex: exactly these are meant
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, '')
    .replace(/[&<>"]/g, (sign) => ENTITIES[sign] ?? '');
const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
