// What cannot be in the times of a run, and what is only odd: the first is refused, the second asked about once. The
// limits come with the page, from where the checks of the record read them.
import { fillIn } from "./setup.js";
import { timeOf } from "./sheets.js";

/** What is wrong with the times of a run: which part, which other one it does not go with, the sentence; null if nothing. */
export function faultOf(times, words, limits, part = null) {
  let before = null;
  for (const gate of Object.keys(times).filter((one) => times[one]).sort((a, b) => a - b)) {
    const text = times[gate], at = `${gate} m`;
    if (!timeOf(text)) return { part: gate, say: fillIn(words.needs_point, text, at), offers: pointed(times, gate, limits) };
    const time = Number(timeOf(text));
    if (Number(gate) > limits.fastest * time) return { part: gate, say: fillIn(words.too_fast, text, at) };
    if (Number(gate) < limits.slowest * time) return { part: gate, say: fillIn(words.too_slow, text, at) };
    if (before) {
      const metres = Number(gate) - Number(before.gate), seconds = time - before.time;
      const possible = seconds > 0 && metres <= limits.fastest * seconds && metres >= limits.slowest * seconds;
      const said = seconds <= 0 ? words.not_later : metres > limits.fastest * seconds ? words.leg_too_fast : words.leg_too_slow;
      if (!possible) return { part: part === before.gate ? before.gate : gate, other: part === before.gate ? gate : before.gate, say: fillIn(said, text, at, before.text, `${before.gate} m`) };
    }
    before = { gate, time, text };
  }
  return null;
}

/** The time a number without its point may have been, with two digits after it: offered, never taken by itself. */
function pointed(times, gate, limits) {
  const digits = times[gate];
  if (!/^\d{3,4}$/.test(digits)) return [];
  const text = `${digits.slice(0, -2)}.${digits.slice(-2)}`;
  return faultOf({ [gate]: text }, {}, limits) ? [] : [text];
}

/** What is odd about a time that can be: the sentence and what it may have been; null if nothing. `own` and `others` are
    times as typed, at the same gate under the same start. */
export function doubtOf(text, gate, timing, own, others, words, limits) {
  const time = Number(timeOf(text)), at = `${gate} m`;
  const all = [...own.now, ...others];
  const least = all.length > 1 ? Math.min(...all.map(digitsAfter)) : 0;
  const need = Math.max(least, timing === "electronic" ? limits.decimals : 0);
  if (digitsAfter(text) < need) return { part: gate, say: fillIn(words.fewer_digits, text, at), offers: [text.replace(",", ".") + "0".repeat(need - digitsAfter(text))] };
  const mine = [...own.now, ...own.before].map((one) => Number(timeOf(one)));
  const theirs = others.map((one) => Number(timeOf(one)));
  const beside = mine.length ? mine : theirs.length > 2 ? theirs : [];
  if (!beside.length || beside.some((one) => Math.abs(time / one - 1) <= limits.unusual)) return null;
  const range = [Math.min(...beside), Math.max(...beside)].map((one) => one.toFixed(2));
  return { part: gate, say: fillIn(mine.length ? words.far_from_own : words.far_from_others, text, at, ...range) };
}

function digitsAfter(text) { return (/[.,](\d*)$/.exec(String(text)) ?? [null, ""])[1].length; }
