"""A page of its own for the parts of the film screen that run in the browser, without the dashboard around them."""

import mimetypes
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

SCREEN = Path(__file__).parents[3] / "dashboard" / "screens" / "film"
CLIPS = Path(__file__).parent / "clips"
ADDRESS = "http://localhost/film-test/"  # a loopback name counts as secure, so that the browser lends its decoder


@pytest.fixture(scope="module")
def film_window(browser: Browser) -> Iterator[Page]:
    """A window in which an empty page can import the parts by name and fetch the clips."""
    context = browser.new_context()
    page = context.new_page()

    def answer(route: Route) -> None:
        name = route.request.url.removeprefix(ADDRESS)
        path = next((at for at in (SCREEN / name, CLIPS / name) if name and at.is_file()), None)
        if path is None:
            route.fulfill(status=200, content_type="text/html", body="<!doctype html><title>film</title>")
            return
        kind = "text/javascript" if path.suffix == ".js" else mimetypes.guess_type(name)[0]
        route.fulfill(status=200, content_type=kind or "application/octet-stream", body=path.read_bytes())

    page.route(f"{ADDRESS}**", answer)
    yield page
    context.close()


@pytest.fixture
def film_page(film_window: Page) -> Page:
    """The empty page anew: nothing stands in it of the films before."""
    film_window.goto(ADDRESS)
    return film_window


@pytest.fixture
def run_in(film_page: Page) -> Callable[..., object]:
    """Return a function that runs a script in which the parts stand at hand: run_in(script, argument)."""
    names = ("boxes", "frames", "decoder", "fingerprint")

    def run(script: str, argument: object = None) -> object:
        imports = "".join(f'const {name} = await import("./{name}.js");' for name in names)
        return film_page.evaluate(
            f"""async (arg) => {{ {imports}
            const clip = async (name) => {{ const blob = await (await fetch(name)).blob(); return blob; }};
            const code = (picture) => {{
              const wide = picture.displayWidth ?? picture.width, high = picture.displayHeight ?? picture.height;
              const canvas = new OffscreenCanvas(wide, high), x = canvas.getContext("2d");
              x.drawImage(picture, 0, 0);
              const cell = Math.floor(wide / 18), band = Math.floor(high / 10);
              const at = (column, row) => x.getImageData(column, row, 1, 1).data[0];
              let number = 0;
              for (let bit = 0; bit < 16; bit++) {{
                const column = Math.floor((bit + 1.5) * cell);
                const on = at(column, band >> 1), off = at(column, band + (band >> 1));
                if (Math.abs(on - off) < 60) return -1;
                number = 2 * number + (on > off ? 1 : 0);
              }}
              return number;
            }};
            {script} }}""",
            argument,
        )

    return run
