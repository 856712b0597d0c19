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
  const { width, height } = layout;
  const chip = board.chip?.title ?? '';
  const elsewhere = analysis.findings.filter(
    (finding) => shown(finding.severity) && !sockets.some(({ findings }) => findings.includes(finding)),
  ).length;
  const others =
    elsewhere > 0 ? `${elsewhere} ${elsewhere === 1 ? 'finding' : 'findings'} about no connector` : '';
  const name = board.name.value;
  const title = `${name}: ${sockets.length} connectors, ${countText(sockets)}`;
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${round(width)} ${round(height)}" width="${round(width)}" height="${round(height)}" role="group" aria-label="${escaped(title)}" font-size="12">
<title>${escaped(name)}</title>
<style>${STYLE}</style>
<rect class="board" ${rect(layout.board)} rx="14"/>
${nameSvg(name, [chip, others], layout.middle)}
${sockets.map((socket) => socketSvg(socket, layout.boxes.get(socket)!)).join('\n')}
</svg>
`;
  return { svg, sockets };
}

/** The board's name and what else is said of it, in lines in the middle of a box. */
function nameSvg(name: string, others: readonly string[], { x, y, width, height }: Box): string {
  const middle = round(x + width / 2);
  const lines = others.flatMap((text) => wrapped(text, width));
  const top = y + (height - lines.length * LINE) / 2;
  const line = (kind: string, text: string, at: number): string =>
    `<text class="${kind}" x="${middle}" y="${round(at)}">${escaped(text)}</text>`;
  return [
    line('board-name', clip(name, width, 10), top),
    ...lines.map((text, index) => line('board-chip', text, top + 4 + (index + 1) * LINE)),
  ].join('\n');
}
/** px from one line of words to the next. */
const LINE = 17;

/** Lines of whole words, as many as fit into `width` px. */
function wrapped(text: string, width: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const longer = lines.length > 0 ? `${lines.at(-1)} ${word}` : word;
    if (lines.length > 0 && clip(longer, width) === longer) lines[lines.length - 1] = longer;
    else if (word) lines.push(clip(word, width));
  }
  return lines;
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
  const counted = findings.filter((finding) => shown(finding.severity));
  const told = counted.map((finding) => `${WORDS[finding.severity]}: ${finding.message}`);
  const room = BOX.width - 20;
  const heading = clip(name, room - (mark ? 44 : 0), 7.5);
  const line = clip(what, room);
  const setting = settingText(settings, room);
  const count = counted.length > 1 ? `, ${counted.length} findings` : '';
  // What can be seen comes first, word for word, so that who speaks to the machine can name what he sees.
  const label = [
    `${heading}: ${line}, ${setting}${count}`,
    `${name === heading ? '' : `${name}, `}${KINDS[kind]}`,
    ...(line === what ? [] : [what]),
    ...(settings.length === 0 || (settings.length === 1 && setting === settings[0])
      ? []
      : [settings.join(', ')]),
    ...told,
  ].join('. ');
  return `<g class="socket ${kind}${mark ? ` ${mark}` : ''}" data-socket="${escaped(socket.id)}" tabindex="0" role="button" aria-label="${escaped(label)}" transform="translate(${round(box.x)} ${round(box.y)})">
<title>${escaped([`${name} (${KINDS[kind]})`, what, ...settings, ...told].join('\n'))}</title>
<rect class="ring" x="-4" y="-4" width="${BOX.width + 8}" height="${BOX.height + 8}" rx="9"/>
<rect class="box" width="${BOX.width}" height="${BOX.height}" rx="6"/>
<rect class="edge" width="6" height="${BOX.height}" rx="3"/>
<text class="name" x="14" y="19">${escaped(heading)}</text>
<text class="what${plugged.length === 0 ? ' none' : ''}" x="14" y="37">${escaped(line)}</text>
<text class="setting" x="14" y="54">${escaped(setting)}</text>
<path class="pointer" d="M-9 ${BOX.height / 2 - 7}-2 ${BOX.height / 2}-9 ${BOX.height / 2 + 7}Z"/>
${mark ? sign(mark, counted.length) : ''}</g>`;
}

/** The first setting, and how many more there are. */
function settingText([first, ...more]: readonly string[], room: number): string {
  if (first === undefined) return 'no pin set';
  const others = more.length > 0 ? ` +${more.length}` : '';
  return clip(first, room - others.length * SETTING_WIDTH, SETTING_WIDTH) + others;
}
/** px of a character in a line of settings. */
const SETTING_WIDTH = 6.5;

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

/**
 * An editor's colours where it has them, else quiet ones of our own for light and dark pages; the system's where it forces them. The ring is the
 * keyboard's focus, the pointer the connector of the editor's cursor.
 */
const STYLE = `
svg{--ink:var(--vscode-editor-foreground,#1f2a33);--paper:var(--vscode-editor-background,#fff);--quiet:var(--vscode-descriptionForeground,#566570);--line:var(--vscode-contrastBorder,var(--vscode-descriptionForeground,#566570));--soft:.6;--fill:var(--vscode-editorWidget-background,#f3f6f8);--error:var(--vscode-editorError-foreground,#b3261e);--warning:var(--vscode-editorWarning-foreground,#8a5a00);--info:var(--vscode-editorInfo-foreground,#22578f);--focus:var(--vscode-focusBorder,#22578f);background:var(--paper)}
@media(prefers-color-scheme:dark){svg{--ink:var(--vscode-editor-foreground,#e3e9ee);--paper:var(--vscode-editor-background,#161c21);--quiet:var(--vscode-descriptionForeground,#a4b1bb);--line:var(--vscode-contrastBorder,var(--vscode-descriptionForeground,#a4b1bb));--fill:var(--vscode-editorWidget-background,#202930);--error:var(--vscode-editorError-foreground,#ff8a80);--warning:var(--vscode-editorWarning-foreground,#f0c060);--info:var(--vscode-editorInfo-foreground,#8ec1ff);--focus:var(--vscode-focusBorder,#8ec1ff)}}
@media(forced-colors:active){svg{--ink:CanvasText;--paper:Canvas;--quiet:CanvasText;--line:CanvasText;--soft:1;--fill:Canvas;--error:CanvasText;--warning:CanvasText;--info:CanvasText;--focus:Highlight}}
text{fill:var(--ink);font-family:var(--vscode-font-family,system-ui,sans-serif)}
.board{fill:none;stroke:var(--line);stroke-opacity:var(--soft);stroke-width:2}
.board-name{text-anchor:middle;font-size:17px;font-weight:600}
.board-chip{text-anchor:middle;fill:var(--quiet)}
.box{fill:var(--fill);stroke:var(--line);stroke-opacity:var(--soft)}
.edge{fill:var(--line);fill-opacity:var(--soft)}
.name{font-weight:600;font-size:13px}
.what.none,.setting,.count{fill:var(--quiet)}
.setting{font-family:var(--vscode-editor-font-family,ui-monospace,monospace);font-size:10.5px}
.count{text-anchor:end;font-size:11px}
.socket{cursor:pointer;outline:none}
.error .box,.warning .box,.info .box{stroke-width:2;stroke-opacity:1}.error .edge,.warning .edge,.info .edge{fill-opacity:1}
.error .box{stroke:var(--error)}.error .edge,.error .shape{fill:var(--error)}
.warning .box{stroke:var(--warning);stroke-dasharray:7 3}.warning .edge,.warning .shape{fill:var(--warning)}
.info .box{stroke:var(--info);stroke-dasharray:2 3}.info .edge,.info .shape{fill:var(--info)}
.stroke{fill:none;stroke:var(--paper);stroke-width:2;stroke-linecap:round}
.ring{fill:none;stroke:none}.pointer{fill:none}
.socket:focus-visible .ring{stroke:var(--focus);stroke-width:2}
.here .box{stroke:var(--ink);stroke-width:2.5;stroke-opacity:1;stroke-dasharray:none}.here .pointer{fill:var(--ink)}
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
