// The number pad: keys for one thumb, for times with a point and for whole numbers. A keyboard types on it as well.
import { make, press } from "./parts.js";

const HOLD_MS = 500;

export class Pad {
  constructor(words, onText, onNext, onClose) {
    this.words = words;
    this.text = "";
    this.onText = onText;
    this.onNext = onNext;
    this.onClose = onClose;
    this.head = make("div", { class: "head" });
    this.tabs = make("div", { class: "tabs", role: "group" });
    this.note = make("p", { class: "note", role: "status" });
    this.offers = make("div", { class: "keys offers" });
    this.extra = make("div", { class: "extra" });
    const digit = (key) => press(key, "", () => this.type(key), { "data-digit": key });
    this.keys = make("div", { class: "digits" }, ...["1", "2", "3", "4", "5", "6", "7", "8", "9"].map(digit),
      press(".", "", () => this.type("."), { "aria-label": words.point }), digit("0"),
      press("⌫", "", () => this.wipe(), { "aria-label": words.wipe, ...this.held() }));
    this.next = press(words.next, "", () => this.onNext(), { class: "main next" });
    this.done = press(words.close, "", () => this.onClose(), { class: "done" });
    this.root = make("div", { class: "pad", role: "group", "aria-label": words.pad }, this.head, this.tabs, this.note, this.offers,
      make("div", { class: "under" }, this.keys, make("div", { class: "beside" }, this.extra, this.next, this.done)));
    this.root.hidden = true;
  }

  get isOpen() { return !this.root.hidden; }

  show(text) { this.text = text ?? ""; this.isFresh = true; this.root.hidden = false; }

  hide() { this.root.hidden = true; }

  type(key) {
    if (this.isFresh) this.text = ""; // a value that stands there is written over, not added to
    this.isFresh = false;
    if (key === "." && /[.,]/.test(this.text)) return;
    if (this.text.replace(/\D/g, "").length >= 6) return;
    this.text += key;
    this.onText(this.text);
  }

  /** Say a sentence above the keys, with keys of its own. */
  say(text, keys) { if (this.note.textContent !== text) this.note.textContent = text; this.offers.replaceChildren(...keys); }

  /** Put a whole value, as an offer does. */
  put(text) { this.text = text; this.isFresh = true; this.onText(text); }

  /** Held down for half a second, the key that takes a digit away takes all away. */
  held() {
    const stop = () => clearTimeout(this.holding);
    return { onpointerdown: () => { stop(); this.holding = setTimeout(() => { this.text = ""; this.onText(""); }, HOLD_MS); }, onpointerup: stop, onpointerleave: stop, onpointercancel: stop };
  }

  wipe() { this.isFresh = false; this.text = this.text.slice(0, -1); this.onText(this.text); }

  /** Take a key of a keyboard; returns whether it was one of ours. */
  key(event) {
    if (!this.isOpen || event.ctrlKey || event.metaKey || event.altKey) return false;
    if (/^\d$/.test(event.key)) this.type(event.key);
    else if (event.key === "." || event.key === ",") this.type(".");
    else if (event.key === "Backspace") this.wipe();
    else if (event.key === "Enter" && event.target?.tagName !== "BUTTON") this.onNext();
    else if (event.key === "Escape") this.onClose();
    else return false;
    event.preventDefault();
    return true;
  }
}
