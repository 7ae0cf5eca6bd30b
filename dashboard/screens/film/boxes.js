// The boxes of an MP4 or MOV file (ISO/IEC 14496-12): read through slices, so that of a long film only its table is.

/** Something a film can be refused for; the page has a sentence for every code. */
export class FilmFault extends Error {
  constructor(code, detail = "") {
    super(detail ? `${code}: ${detail}` : code);
    this.code = code;
    this.detail = detail;
  }
}

export const LARGEST_TABLE = 64 * 2 ** 20; // bytes; ten minutes at 240 frames a second need under 4 MB

export const u64 = (view, at) => view.getUint32(at) * 2 ** 32 + view.getUint32(at + 4);
export const i64 = (view, at) => view.getInt32(at) * 2 ** 32 + view.getUint32(at + 4);
export const tag = (view, at) => String.fromCharCode(...[0, 1, 2, 3].map((k) => view.getUint8(at + k)));
export const bytes = (view, from, to) => new Uint8Array(view.buffer, view.byteOffset + from, to - from);

export async function viewOf(blob, from, to) {
  return new DataView(await blob.slice(from, to).arrayBuffer());
}

function sizeOf(view, at, left) {
  const size = view.getUint32(at);
  if (size === 1) return [u64(view, at + 8), 16];
  return [size === 0 ? left : size, 8]; // 0: to the end of the file
}

/** The outermost boxes of a file. One that reaches beyond the end is given as far as it goes: the end is missing. */
export async function topBoxes(blob) {
  const found = [];
  for (let at = 0; at + 8 <= blob.size; ) {
    const head = await viewOf(blob, at, Math.min(at + 16, blob.size));
    if (head.getUint32(0) === 1 && head.byteLength < 16) break;
    const [size, skip] = sizeOf(head, 0, blob.size - at);
    if (size < skip) break;
    found.push({ type: tag(head, 4), at, size, skip, whole: at + size <= blob.size });
    at += size;
  }
  return found;
}

/** The boxes between two places of a view. */
export function* boxesIn(view, from, to) {
  for (let at = from; at + 8 <= to; ) {
    if (view.getUint32(at) === 1 && at + 16 > to) return;
    const [size, skip] = sizeOf(view, at, to - at);
    if (size < skip || at + size > to) return;
    yield { type: tag(view, at + 4), at, from: at + skip, to: at + size };
    at += size;
  }
}

export const childrenOf = (view, box, type) => [...boxesIn(view, box.from, box.to)].filter((one) => one.type === type);
export const childOf = (view, box, ...path) =>
  path.reduce((inside, type) => inside && childrenOf(view, inside, type)[0], box);
