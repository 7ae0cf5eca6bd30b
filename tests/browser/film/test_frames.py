"""Every frame of every odd film is the frame it is called, and what is no film is refused with the right reason.

Outside check: times and frame numbers of every clip as ffmpeg's demuxer and decoder gave them (clips.json; ffmpeg
5.1, made by make_clips.py).
"""

import hashlib
import json
import math
from collections.abc import Callable

import pytest

from tests.browser.film.conftest import CLIPS

TOLD = json.loads((CLIPS / "clips.json").read_text(encoding="utf-8"))
LOST = {"end_missing.mp4"}
WHOLE = sorted(set(TOLD) - {"hevc_240.mp4"} - LOST)
FRAMES = """
const blob = await clip(arg.name), film = await frames.readFilm(blob), engine = new decoder.Decoder(film, blob);
await engine.open();
const seen = [];
for (const n of arg.order ?? film.shown.map((_, n) => n)) seen.push([n, code(await engine.frame(n))]);
engine.close();
return { seen, times: film.shown.map((s) => s.t), rotation: film.rotation, lost: film.lost, rate: frames.rateOf(film),
         most: engine.most, kept: engine.kept };
"""


@pytest.mark.parametrize("name", WHOLE)
def test_every_frame_is_the_one_it_is_called_forwards(run_in: Callable, name: str):
    found = run_in(FRAMES, {"name": name})
    assert [code for _, code in found["seen"]] == TOLD[name]["codes"]
    start = TOLD[name]["times"][0] - found["times"][0]  # players differ in where they put the first frame
    assert max(
        abs(ours + start - theirs) for ours, theirs in zip(found["times"], TOLD[name]["times"], strict=True)
    ) < 2e-6  # fmt: skip


@pytest.mark.parametrize("name", ["long_group_240.mp4", "open_group_240.mp4", "variable_240.mp4", "vp9_240.mp4",
                                  "cut_by_edit_list.mp4", "fragments_240.mp4", "quicktime_120.mov"])  # fmt: skip
def test_every_frame_is_the_one_it_is_called_backwards_and_in_leaps(run_in: Callable, name: str):
    codes = TOLD[name]["codes"]
    last = len(codes) - 1
    leaps = [(n * 61) % len(codes) for n in range(60)]
    order = [last, *range(last - 1, max(last - 70, 0), -1), 0, 1, 2, last, last - 1, *leaps, 11, 1, 21, 31, 21]
    found = run_in(FRAMES, {"name": name, "order": order})
    assert [(n, code) for n, code in found["seen"]] == [(n, codes[n]) for n in order]
    assert found["most"] <= found["kept"]  # however far the leap, no more stands in memory


def test_a_film_whose_end_is_missing_gives_every_frame_it_still_holds(run_in: Callable):
    found = run_in(FRAMES, {"name": "end_missing.mp4"})
    whole = TOLD["open_group_240.mp4"]["codes"]
    assert found["lost"] == len(whole) - len(found["seen"])
    assert 90 <= len(found["seen"]) <= len(TOLD["end_missing.mp4"]["codes"])
    codes = [code for _, code in found["seen"]]
    assert codes == sorted(codes)
    assert set(codes) <= set(whole)


def test_a_film_on_its_side_says_so_and_the_slow_ones_say_their_rate(run_in: Callable):
    assert run_in(FRAMES, {"name": "rotated_240.mp4", "order": [0]})["rotation"] in (90, 270)
    slow = run_in(FRAMES, {"name": "slow_says_240.mp4", "order": [0]})["rate"]
    assert slow["told_rate_hz"] == 240
    assert math.isclose(slow["container_rate_hz"], 30, rel_tol=1e-6)
    assert run_in(FRAMES, {"name": "slow_as_30.mp4", "order": [0]})["rate"]["told_rate_hz"] is None
    assert run_in(FRAMES, {"name": "two_speeds.mp4", "order": [0]})["rate"]["odd_gaps"] >= 79
    assert run_in(FRAMES, {"name": "variable_240.mp4", "order": [0]})["rate"]["odd_gaps"] == 0


REASONS = {
    "sound_only.mp4": "no_picture",
    "nothing.mp4": "empty",
    "screenshot.png": "still_picture",
    "half_a_film.mp4": "half_a_film",
    "other_box.webm": "not_a_film",
    "clips.json": "not_a_film",
}


@pytest.mark.parametrize(("name", "reason"), REASONS.items())
def test_what_is_no_film_is_refused_for_what_it_is(run_in: Callable, name: str, reason: str):
    script = "try { await frames.readFilm(await clip(arg)); return ''; } catch (fault) { return fault.code; }"
    assert run_in(script, name) == reason


def test_a_codec_this_browser_lacks_is_named(run_in: Callable):
    script = """
    const blob = await clip("hevc_240.mp4"), film = await frames.readFilm(blob);
    const can = await VideoDecoder.isConfigSupported({ codec: film.codec, description: film.description });
    try { await new decoder.Decoder(film, blob).open(); return ["", film.codec, can.supported, film.shown.length]; }
    catch (fault) { return [fault.code, film.codec, can.supported, film.shown.length]; }"""
    code, codec, can, frames = run_in(script)
    assert codec.startswith("hvc1.1.6.")  # main profile (ITU-T H.265, annex A), as ffmpeg wrote it
    assert frames == len(TOLD["hevc_240.mp4"]["codes"])
    assert code == ("" if can else "cannot_decode")


def test_damaged_tables_are_refused_and_nothing_hangs(run_in: Callable):
    # every byte of the table spoilt in turn, every third place: a fault of ours, or a film, never anything else
    script = """
    const whole = new Uint8Array(await (await clip("b_frames_60.mp4")).arrayBuffer());
    const view = new DataView(whole.buffer); let at = 0;
    while (String.fromCharCode(...whole.slice(at + 4, at + 8)) !== "moov") at += view.getUint32(at);
    const odd = [];
    for (let k = at + 8; k < whole.length; k += 3) for (const value of [0, 255]) {
      const spoilt = whole.slice(); spoilt[k] = value;
      try { await frames.readFilm(new Blob([spoilt])); }
      catch (fault) { if (!(fault instanceof boxes.FilmFault)) odd.push(`${k}: ${fault}`); }
    }
    return odd;"""
    assert run_in(script) == []


def test_the_fingerprint_counts_every_byte_and_is_sha256_of_the_pieces_sums(run_in: Callable):
    content = (CLIPS / "plain_30.mp4").read_bytes()
    assert run_in('return fingerprint.fingerprintOf(await clip("plain_30.mp4"));') == _fingerprint(content)
    long = run_in("const one = new Uint8Array(9 * 2 ** 20).fill(7); return fingerprint.fingerprintOf(new Blob([one]));")
    assert long == _fingerprint(b"\x07" * (9 * 2**20))


def _fingerprint(content: bytes) -> str:
    pieces = [content[at : at + 8 * 2**20] for at in range(0, len(content), 8 * 2**20)]
    return hashlib.sha256(b"".join(hashlib.sha256(piece).digest() for piece in pieces)).hexdigest()


def test_of_a_film_of_500_mb_only_what_is_needed_is_read(run_in: Callable):
    script = """
    const small = await clip("open_group_240.mp4"), filler = new Blob([new Uint8Array(10 * 2 ** 20)]);
    const head = new DataView(new ArrayBuffer(16)); head.setUint32(0, 1);
    [..."free"].forEach((letter, k) => head.setUint8(4 + k, letter.charCodeAt(0)));
    head.setUint32(12, 50 * 10 * 2 ** 20 + 16);
    const large = new Blob([small, head.buffer, ...Array(50).fill(filler)]);
    let read = 0; const slice = large.slice.bind(large);
    large.slice = (from, to) => { read += Math.min(to, large.size) - from; return slice(from, to); };
    const since = performance.now();
    const film = await frames.readFilm(large), engine = new decoder.Decoder(film, large); await engine.open();
    const first = code(await engine.frame(0)); const ms = performance.now() - since; const last = code(await
    engine.frame(179)); return { size: large.size, read, first, last, ms };"""
    found = run_in(script)
    assert found["size"] > 500 * 2**20
    assert (found["first"], found["last"]) == (0, 179)
    assert found["read"] < 200_000
    assert found["ms"] < 1000
