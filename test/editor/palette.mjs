// Small pictures for the README: a PNG with a palette (W3C PNG, third edition, 11.2) is a third of one without.
import { crc32, deflateSync } from 'node:zlib';

const SIZE = 128;

/** A picture of the page in the colours of a palette; every other one becomes the nearest of them. */
export async function smallScreenshot(page) {
  const { width, height } = page.viewportSize();
  const png = await page.screenshot();
  const blank = await page.context().browser().newPage();
  const pixels = Buffer.from(
    await blank.evaluate(pixelsOf, [png.toString('base64'), width, height]),
    'base64',
  );
  await blank.close();
  const keys = new Uint32Array(width * height);
  const counts = new Map();
  for (let index = 0; index < keys.length; index += 1) {
    const at = 4 * index;
    const key = (pixels[at] << 16) | (pixels[at + 1] << 8) | pixels[at + 2];
    keys[index] = key;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  const palette = paletteOf(counts);
  const nearest = new Map(palette.map((key, index) => [key, index]));
  const indexOf = (key) => {
    const known = nearest.get(key);
    if (known !== undefined) return known;
    const distances = palette.map((other) => distance(key, other));
    const found = distances.indexOf(Math.min(...distances));
    nearest.set(key, found);
    return found;
  };
  // Each row begins with its filter: none.
  const rows = Buffer.alloc((width + 1) * height);
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1) rows[y * (width + 1) + 1 + x] = indexOf(keys[y * width + x]);
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 3, 0, 0, 0], 8);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header),
    chunk('PLTE', Buffer.from(palette.flatMap(partsOf))),
    chunk('IDAT', deflateSync(rows, { level: 9, memLevel: 9 })),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

/** Half of it the commonest colours, half those that are farthest from all that are in it already. */
function paletteOf(counts) {
  const sorted = [...counts].sort((a, b) => b[1] - a[1]).map(([key]) => key);
  const palette = sorted.slice(0, SIZE / 2);
  const rest = sorted
    .slice(SIZE / 2)
    .map((key) => ({ key, far: Math.min(...palette.map((other) => distance(key, other))) }));
  while (palette.length < SIZE && rest.length > 0) {
    const { key } = rest.reduce((one, other) => (other.far > one.far ? other : one));
    palette.push(key);
    for (const each of rest) each.far = Math.min(each.far, distance(each.key, key));
  }
  return palette;
}

const partsOf = (key) => [key >> 16, (key >> 8) & 255, key & 255];

function distance(one, other) {
  const others = partsOf(other);
  return partsOf(one).reduce((sum, part, index) => sum + (part - others[index]) ** 2, 0);
}

function chunk(type, data) {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, check]);
}

/** In the page: the bytes of a PNG's pixels, red, green, blue, opacity, as base 64. */
async function pixelsOf([png, width, height]) {
  const image = new Image();
  image.src = `data:image/png;base64,${png}`;
  await image.decode();
  const canvas = new OffscreenCanvas(width, height).getContext('2d');
  canvas.drawImage(image, 0, 0);
  const { data } = canvas.getImageData(0, 0, width, height);
  let text = '';
  for (let at = 0; at < data.length; at += 30_000)
    text += String.fromCharCode(...data.subarray(at, at + 30_000));
  return btoa(text);
}
