"""Steps through a film as phones write them: 1080p, 240 frames a second, 10 s, a key frame a second.

``pytest -q -s tests/bench/bench_film.py``. Needs ffmpeg to make the film and Chromium to step through it; Chromium
decodes in software here, where a phone has a chip for it. Each step is timed in the browser, from the number of the
frame to its picture on the canvas, decoding included. Also opens a file of over 500 MB, of which only what is needed is
read.
"""

import json
import shutil
import statistics
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

from tests.browser.conftest import browser  # noqa: F401 - the fixture
from tests.browser.film.conftest import SCREEN

pytestmark = pytest.mark.bench
RATE, SECONDS, STEPS = 240, 10, 200
MOST_MS = 10.0  # a step, median, forward and back
BALLAST = 520 * 2**20
PAGE = """<!doctype html><title>film</title><input type=file><canvas width=1920 height=1080></canvas>"""
STEP = """async ([first, steps, by]) => {
  const { readFilm } = await import("./frames.js");
  const { Decoder, drawTurned } = await import("./decoder.js");
  const blob = document.querySelector("input").files[0], canvas = document.querySelector("canvas");
  const began = performance.now();
  const film = await readFilm(blob);
  const decoder = new Decoder(film, blob);
  await decoder.open();
  drawTurned(canvas, await decoder.frame(0), film.rotation);
  const first_ms = performance.now() - began, times = [];
  drawTurned(canvas, await decoder.frame(first), film.rotation);
  for (let i = 1; i <= steps; i++) {
    const from = performance.now();
    drawTurned(canvas, await decoder.frame(first + by * i), film.rotation);
    canvas.getContext("2d").getImageData(0, 0, 1, 1);
    times.push(performance.now() - from);
  }
  const told = { first_ms, times, frames: film.shown.length, kept_mb: decoder.keptBytes / 2 ** 20, most: decoder.most };
  decoder.close();
  return told;
}"""


@pytest.fixture(scope="module")
def long_film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if shutil.which("ffmpeg") is None:
        pytest.skip("no ffmpeg on this machine to make the film with")
    path = tmp_path_factory.mktemp("film") / "phone.mp4"
    pictures = f"testsrc2=size=1920x1080:rate={RATE}:duration={SECONDS}"
    command = ["ffmpeg", "-y", "-v", "error", "-f", "lavfi", "-i", pictures, "-c:v", "libx264", "-preset", "veryfast",
               "-pix_fmt", "yuv420p", "-g", str(RATE), "-bf", "0", "-b:v", "40M", str(path)]  # fmt: skip
    subprocess.run(command, check=True)
    return path


@pytest.fixture
def page(browser: Browser) -> Page:  # noqa: F811
    opened = browser.new_page()

    def answer(route: Route) -> None:
        at = SCREEN / route.request.url.rsplit("/", 1)[-1]
        if at.suffix == ".js":
            route.fulfill(status=200, content_type="text/javascript", body=at.read_bytes())
        else:
            route.fulfill(status=200, content_type="text/html", body=PAGE)

    opened.route("http://localhost/film/**", answer)
    opened.goto("http://localhost/film/")
    return opened


@pytest.mark.parametrize(("way", "first", "by"), [("forward", 300, 1), ("back", 900, -1)])
def test_a_step_takes_under_ten_milliseconds(page: Page, long_film: Path, way: str, first: int, by: int):
    page.set_input_files("input", str(long_film))
    told = page.evaluate(STEP, [first, STEPS, by])
    times = sorted(told["times"])
    median, p95 = statistics.median(times), times[int(0.95 * len(times))]
    said = {"way": way, "median_ms": round(median, 1), "p95_ms": round(p95, 1), "worst_ms": round(times[-1], 1)}
    print(json.dumps(said | {"first_frame_ms": round(told["first_ms"]), "kept_mb": round(told["kept_mb"])}))
    assert told["frames"] == RATE * SECONDS
    assert told["kept_mb"] <= 200
    assert median < MOST_MS


def test_a_file_of_half_a_gigabyte_opens_without_being_read_whole(page: Page, long_film: Path, tmp_path: Path):
    big = tmp_path / "big.mp4"
    shutil.copy2(long_film, big)
    with big.open("ab") as file:  # a free box, as cameras leave them: the frames are as before
        file.write(BALLAST.to_bytes(4, "big") + b"free")
        file.truncate(big.stat().st_size + BALLAST)
    page.set_input_files("input", str(big))
    told = page.evaluate(STEP, [10, 5, 1])
    print(json.dumps({"size_mb": round(big.stat().st_size / 2**20), "first_frame_ms": round(told["first_ms"])}))
    assert told["first_ms"] < 1_000
