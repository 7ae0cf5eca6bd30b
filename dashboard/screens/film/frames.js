// Every frame of a film out of its own tables: when it is shown, where its bytes lie, whether decoding may begin there.
// Times are the container's presentation times, never frame number / rate: those are wrong for most films.
import { FilmFault, LARGEST_TABLE, boxesIn, bytes, childOf, childrenOf, i64, tag, topBoxes, u64, viewOf } from "./boxes.js";

const MOST_FRAMES = 500_000; // half an hour at 240 a second; more is a damaged table
const PICTURES = [[0x89504e47, "png"], [0xffd8ffe0, "jpeg"], [0xffd8ffe1, "jpeg"], [0x47494638, "gif"]];
const hex = (number) => number.toString(16).padStart(2, "0");

/** Name the codec as browsers want it named (RFC 6381; for AV1 and VP9 their ISO BMFF bindings). */
function codecOf(view, kind, conf) {
  const byte = (k) => view.getUint8(conf.from + k);
  if (conf.type === "avcC") return `avc1.${[1, 2, 3].map((k) => hex(byte(k))).join("")}`;
  if (conf.type === "vpcC") return `vp09.${[byte(4), byte(5), byte(6) >> 4].map((n) => String(n).padStart(2, "0")).join(".")}`;
  if (conf.type === "av1C") {
    const depth = byte(2) & 0x40 ? (byte(2) & 0x20 ? 12 : 10) : 8;
    const level = String(byte(1) & 31).padStart(2, "0");
    return `av01.${byte(1) >> 5}.${level}${byte(2) & 0x80 ? "H" : "M"}.${String(depth).padStart(2, "0")}`;
  }
  let turned = 0; // HEVC writes its compatibility flags backwards
  const flags = view.getUint32(conf.from + 2);
  for (let k = 0; k < 32; k++) if (flags & (1 << k)) turned |= 1 << (31 - k);
  const more = [6, 7, 8, 9, 10, 11].map(byte);
  while (more.length && !more.at(-1)) more.pop();
  const profile = `${["", "A", "B", "C"][byte(1) >> 6]}${byte(1) & 31}.${(turned >>> 0).toString(16)}`;
  const name = kind === "hev1" ? "hev1" : "hvc1";
  return `${name}.${profile}.${byte(1) & 32 ? "H" : "L"}${byte(12)}${more.map((n) => `.${n.toString(16)}`).join("")}`;
}

function pictureFormat(view, stsd) {
  const entry = [...boxesIn(view, stsd.from + 8, stsd.to)][0];
  if (!entry) throw new FilmFault("broken");
  const conf = [...boxesIn(view, entry.from + 78, entry.to)].find((one) => /^(avcC|hvcC|av1C|vpcC)$/.test(one.type));
  const needsHead = conf?.type === "avcC" || conf?.type === "hvcC";
  return {
    codec: conf ? codecOf(view, entry.type, conf) : entry.type,
    width: view.getUint16(entry.from + 24),
    height: view.getUint16(entry.from + 26),
    description: needsHead ? bytes(view, conf.from, conf.to).slice() : undefined,
  };
}

/** A table of (count, value) pairs, one value a frame. */
function spread(view, box, most, signed = false) {
  const out = [];
  const pairs = box ? view.getUint32(box.from + 4) : 0;
  for (let k = 0; k < pairs && out.length < most; k++) {
    const at = box.from + 8 + 8 * k;
    const value = signed ? view.getInt32(at + 4) : view.getUint32(at + 4);
    for (let left = Math.min(view.getUint32(at), most - out.length); left > 0; left--) out.push(value);
  }
  return out;
}

function samplesOf(view, stbl) {
  const box = (type) => childOf(view, stbl, type);
  const [stsz, stss, stco, co64, stsc] = ["stsz", "stss", "stco", "co64", "stsc"].map(box);
  if (!stsz || !stsc || !(stco || co64)) return [];
  const count = view.getUint32(stsz.from + 8), same = view.getUint32(stsz.from + 4);
  if (count > MOST_FRAMES) throw new FilmFault("broken");
  const lasts = spread(view, box("stts"), count), later = spread(view, box("ctts"), count, true);
  const list = (from, n, each) => Array.from({ length: n }, (_, k) => each(from + 8, k));
  const keys = stss && new Set(list(stss.from, view.getUint32(stss.from + 4), (at, k) => view.getUint32(at + 4 * k) - 1));
  const runs = list(stsc.from, view.getUint32(stsc.from + 4), (at, k) => [view.getUint32(at + 12 * k), view.getUint32(at + 12 * k + 4)]);
  const chunks = view.getUint32((stco ?? co64).from + 4);
  const chunkAt = (k) => (stco ? view.getUint32(stco.from + 8 + 4 * k) : u64(view, co64.from + 8 + 8 * k));
  const samples = [];
  let dts = 0;
  for (let chunk = 0, run = 0; chunk < chunks && samples.length < count; chunk++) {
    while (run + 1 < runs.length && runs[run + 1][0] <= chunk + 1) run++;
    let at = chunkAt(chunk);
    for (let left = runs[run]?.[1] ?? 0; left > 0 && samples.length < count; left--) {
      const k = samples.length;
      const size = same || view.getUint32(stsz.from + 12 + 4 * k), lasting = lasts[k] ?? lasts.at(-1) ?? 0;
      samples.push({ at, size, dts, pts: dts + (later[k] ?? 0), lasts: lasting, key: keys ? keys.has(k) : true });
      at += size;
      dts += lasting;
    }
  }
  return samples;
}

/** Edits: which stretch of the track is shown when. An empty one only waits. */
function editsOf(view, trak, movieScale) {
  const elst = childOf(view, trak, "edts", "elst");
  if (!elst) return [];
  const is64 = view.getUint8(elst.from) === 1, wide = is64 ? 20 : 12;
  return Array.from({ length: view.getUint32(elst.from + 4) }, (_, k) => {
    const at = elst.from + 8 + wide * k;
    return {
      length: (is64 ? u64(view, at) : view.getUint32(at)) / movieScale,
      from: is64 ? i64(view, at + 8) : view.getInt32(at + 4),
      rate: view.getInt32(at + (is64 ? 16 : 8)) / 65536,
    };
  });
}

function pictureTrack(view, trak, movieScale) {
  const mdia = childOf(view, trak, "mdia"), mdhd = mdia && childOf(view, mdia, "mdhd");
  const hdlr = mdia && childOf(view, mdia, "hdlr"), tkhd = childOf(view, trak, "tkhd");
  if (!hdlr || !mdhd || !tkhd || tag(view, hdlr.from + 8) !== "vide") return null;
  const stbl = childOf(view, mdia, "minf", "stbl"), stsd = stbl && childOf(view, stbl, "stsd");
  if (!stsd) return null;
  const isLong = view.getUint8(tkhd.from) === 1, matrix = tkhd.from + (isLong ? 52 : 40);
  const [a, b] = [view.getInt32(matrix), view.getInt32(matrix + 4)];
  return {
    id: view.getUint32(tkhd.from + (isLong ? 20 : 12)),
    scale: view.getUint32(mdhd.from + (view.getUint8(mdhd.from) === 1 ? 20 : 12)),
    rotation: (Math.round((Math.atan2(b, a) * 180) / Math.PI / 90) * 90 + 360) % 360,
    ...pictureFormat(view, stsd),
    samples: samplesOf(view, stbl),
    edits: editsOf(view, trak, movieScale),
  };
}

/** What the camera wrote about itself: names to values ('mdta' keys). */
function toldByCamera(view, moov) {
  const told = {};
  for (const meta of [childOf(view, moov, "meta"), childOf(view, moov, "udta", "meta")].filter(Boolean)) {
    const inside = { from: tag(view, meta.from + 4) === "hdlr" ? meta.from : meta.from + 4, to: meta.to };
    const keys = childOf(view, inside, "keys"), ilst = childOf(view, inside, "ilst");
    if (!keys || !ilst) continue;
    const names = [...boxesIn(view, keys.from + 8, keys.to)].map((one) => new TextDecoder().decode(bytes(view, one.from, one.to)));
    for (const item of boxesIn(view, ilst.from, ilst.to)) {
      const name = names[view.getUint32(item.at + 4) - 1], data = childOf(view, item, "data");
      if (!name || !data) continue;
      const kind = view.getUint32(data.from) & 0xffffff, at = data.from + 8;
      if (kind === 23) told[name] = view.getFloat32(at);
      else if (kind === 1) told[name] = new TextDecoder().decode(bytes(view, at, data.to));
    }
  }
  return told;
}

/** Films written piece by piece carry their tables in 'moof' boxes along the way. */
async function addFragments(blob, top, tracks, view, moov) {
  const usual = {}, mvex = childOf(view, moov, "mvex");
  for (const one of mvex ? childrenOf(view, mvex, "trex") : []) {
    const [lasts, size, flags] = [12, 16, 20].map((k) => view.getUint32(one.from + k));
    usual[view.getUint32(one.from + 4)] = { lasts, size, flags };
  }
  for (const moof of top.filter((one) => one.type === "moof" && one.whole && one.size <= LARGEST_TABLE)) {
    const part = await viewOf(blob, moof.at, moof.at + moof.size);
    for (const traf of childrenOf(part, { from: moof.skip, to: moof.size }, "traf")) readFragment(part, traf, moof.at, tracks, usual);
  }
}

function readFragment(view, traf, moofAt, tracks, usual) {
  const tfhd = childOf(view, traf, "tfhd"), tfdt = childOf(view, traf, "tfdt");
  const track = tracks.find((one) => one.id === view.getUint32(tfhd.from + 4));
  if (!track) return;
  const flags = view.getUint32(tfhd.from) & 0xffffff, own = { ...usual[track.id] };
  let at = tfhd.from + 8, place = moofAt;
  const next = () => view.getUint32((at += 4) - 4);
  if (flags & 1) { place = u64(view, at); at += 8; }
  if (flags & 2) at += 4;
  if (flags & 8) own.lasts = next();
  if (flags & 16) own.size = next();
  if (flags & 32) own.flags = next();
  const before = track.samples.at(-1);
  let dts = before ? before.dts + before.lasts : 0;
  if (tfdt) dts = view.getUint8(tfdt.from) ? u64(view, tfdt.from + 4) : view.getUint32(tfdt.from + 4);
  const base = place;
  for (const trun of childrenOf(view, traf, "trun")) {
    const has = view.getUint32(trun.from) & 0xffffff, count = view.getUint32(trun.from + 4);
    at = trun.from + 8;
    if (has & 1) { place = base + view.getInt32(at); at += 4; }
    const first = has & 4 ? next() : null;
    for (let k = 0; k < count && track.samples.length < MOST_FRAMES; k++) {
      const lasts = has & 0x100 ? next() : own.lasts, size = has & 0x200 ? next() : own.size;
      const flag = has & 0x400 ? next() : k === 0 && first !== null ? first : own.flags;
      const later = has & 0x800 ? view.getInt32((at += 4) - 4) : 0;
      track.samples.push({ at: place, size, dts, pts: dts + later, lasts, key: !(flag & 0x10000) });
      place += size;
      dts += lasts;
    }
  }
}

/** The frames in the order of showing, each with its number n and its time t in s as the container tells it. */
function inOrderOfShowing(track) {
  const media = track.edits.filter((one) => one.from >= 0);
  const stretches = media.length ? track.edits : [{ from: 0, length: 0, rate: 1 }];
  const shown = [];
  let at = 0;
  for (const edit of stretches) {
    if (edit.from < 0) { at += edit.length; continue; }
    const end = edit.length ? edit.from + edit.length * track.scale : Infinity;
    const inside = track.samples.filter((s) => s.pts >= edit.from - 0.5 * s.lasts && s.pts < end - 0.25 * s.lasts);
    for (const s of inside.sort((one, other) => one.pts - other.pts)) {
      if (s.n !== undefined) continue;
      s.n = shown.length;
      s.t = at + (s.pts - edit.from) / track.scale;
      shown.push(s);
    }
    at += edit.length;
  }
  return { shown, rates: media.map((one) => one.rate) };
}

async function whyNoFilm(blob, top) {
  if (!blob.size) return "empty";
  const head = blob.size >= 4 ? (await viewOf(blob, 0, 4)).getUint32(0) : 0;
  if (PICTURES.some(([mark]) => mark === head)) return "still_picture";
  return top.some((one) => one.type === "ftyp" || one.type === "mdat") ? "half_a_film" : "not_a_film";
}

/**
 * Read the frame table of a film.
 * Returns { codec, description, width, height, rotation, scale, samples (in order of decoding), shown, lost, told, rates }.
 */
export async function readFilm(blob) {
  const top = await topBoxes(blob), box = top.find((one) => one.type === "moov" && one.whole);
  if (!box) throw new FilmFault(await whyNoFilm(blob, top));
  if (box.size > LARGEST_TABLE) throw new FilmFault("broken");
  try {
    const view = await viewOf(blob, box.at, box.at + box.size), moov = { from: box.skip, to: box.size };
    const mvhd = childOf(view, moov, "mvhd");
    const movieScale = view.getUint32(mvhd.from + (view.getUint8(mvhd.from) ? 20 : 12));
    const tracks = childrenOf(view, moov, "trak").map((one) => pictureTrack(view, one, movieScale)).filter(Boolean);
    if (!tracks.length) throw new FilmFault("no_picture");
    await addFragments(blob, top, tracks, view, moov);
    const track = tracks.reduce((best, one) => (one.samples.length > best.samples.length ? one : best));
    const there = track.samples.findIndex((s) => s.at + s.size > blob.size), all = track.samples.length;
    if (there >= 0) track.samples.length = there; // the end of the file is missing
    track.samples.forEach((s, k) => { s.order = k; });
    const order = inOrderOfShowing(track);
    if (!order.shown.length) throw new FilmFault(all ? "half_a_film" : "no_picture");
    return { ...track, ...order, lost: all - track.samples.length, told: toldByCamera(view, moov), bytes: blob.size };
  } catch (trouble) {
    throw trouble instanceof RangeError || trouble instanceof TypeError ? new FilmFault("broken", trouble.message) : trouble;
  }
}

/** What the film says of its own speed: frames a second, and how the gaps between frames are spread. */
export function rateOf(film) {
  const gaps = film.shown.slice(1).map((s, k) => s.t - film.shown[k].t).sort((one, other) => one - other);
  const middle = gaps[gaps.length >> 1] || 0, told = Number(film.told["com.android.capture.fps"]);
  const odd = gaps.filter((gap) => gap > 2.5 * middle || gap < middle / 2.5).length;
  return {
    container_rate_hz: middle ? 1 / middle : 0,
    odd_gaps: odd,
    gaps: gaps.length,
    told_rate_hz: told > 0 ? told : null,
    edit_rates: [...new Set(film.rates.map((rate) => Number(rate.toFixed(3))))],
  };
}

/** In an open group of pictures the table calls H.264 pictures keys at which no decoder can begin; keep the true ones. */
export async function keepTrueKeys(blob, film) {
  if (!film.codec.startsWith("avc")) return;
  const wide = (film.description[4] & 3) + 1;
  for (const s of film.samples.filter((one) => one.key)) {
    const view = await viewOf(blob, s.at, s.at + Math.min(s.size, 4096));
    s.key = false;
    for (let at = 0; at + wide < view.byteLength && !s.key; ) {
      let size = 0;
      for (let k = 0; k < wide; k++) size = size * 256 + view.getUint8(at + k);
      s.key = (view.getUint8(at + wide) & 31) === 5; // an instantaneous refresh (ITU-T H.264, table 7-1)
      at += wide + size;
    }
  }
  if (!film.samples.some((s) => s.key)) film.samples[0].key = true;
}
