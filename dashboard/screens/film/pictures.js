// Small pictures of marked frames, kept in this browser and nowhere else: nothing here is ever sent.
import { make } from "./parts.js";

const STORE = "thirdstep.film.pictures";
const MOST_RUNS = 40, WIDE = 220, QUALITY = 0.7;

export const runKey = (run) => [run.athlete_id, run.session_date, run.session_no, run.rep_no].join("|");

function readAll() {
  try { return JSON.parse(localStorage.getItem(STORE)) ?? {}; } catch { return {}; }
}

function writeAll(all) {
  const runs = Object.keys(all).sort((one, other) => all[other].at - all[one].at);
  for (const old of runs.slice(MOST_RUNS)) delete all[old];
  for (let kept = runs.slice(0, MOST_RUNS); kept.length; kept.pop()) {
    try { localStorage.setItem(STORE, JSON.stringify(all)); return; } catch { delete all[kept.at(-1)]; } // the room is full
  }
}

/** Keep the part of a frame around some points (or all of it) as the picture of an event. */
export function keepPicture(run, event, step, canvas, points) {
  const xs = points.map((one) => one.x), ys = points.map((one) => one.y);
  const half = points.length > 1 ? Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) * 0.8 : canvas.height / 2;
  const [x, y] = points.length > 1 ? [(Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2] : [canvas.width / 2, canvas.height / 2];
  const small = document.createElement("canvas");
  small.width = WIDE;
  small.height = Math.round(WIDE * 0.75);
  const high = half * 2, wide = (high * 4) / 3;
  small.getContext("2d").drawImage(canvas, x - wide / 2, y - high / 2, wide, high, 0, 0, small.width, small.height);
  const all = readAll(), key = runKey(run);
  all[key] = { ...all[key], at: Date.now(), [`${event} ${step}`]: small.toDataURL("image/jpeg", QUALITY) };
  writeAll(all);
}

export const picturesOf = (run) => readAll()[runKey(run)] ?? {};

export function forgetPictures() {
  localStorage.removeItem(STORE);
}

/** A pattern with the picture it was seen in, or what stands in its place where none is at hand. */
export function patternSeen(one, pictures) {
  const shown = one.events.map((event) => pictures[event]).find(Boolean);
  return make("li", {}, shown ? make("img", { src: shown, alt: one.alt, width: 220 }) : make("p", { class: "soft" }, one.instead),
    make("p", {}, make("b", {}, one.title), " ", one.evidence));
}
