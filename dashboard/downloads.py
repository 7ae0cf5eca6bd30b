"""Files to take away, made when they are fetched and only for the one who was shown them.

A page offers a file; the offer stands in this process under a name nobody can guess, with the viewer it is for. The
route asks the gate's header anew: another sign-in, or the same one after its role was changed, gets nothing.
"""

import datetime as dt
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from dashboard import wording
from dashboard.access.sockets import make
from dashboard.access.trail import erased_since, note_taken
from dashboard.access.viewer import Viewer

OFFERS_KEPT, MOST_OF_ONE = 3_000, 120  # in all, and of one person: some ten pages; own choice
KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "svg": "image/svg+xml",
    "png": "image/png",
    "zip": "application/zip",
    "mp4": "video/mp4",
}


@dataclass(frozen=True)
class Offer:
    """A file that can be fetched: for whom, its name, and how it is made."""

    viewer: Viewer
    name: str
    make: Callable[[], bytes]
    made_at: str  # UTC
    again: bool = False  # whether the pass-phrase must have been given within the last minutes


_offers: OrderedDict[str, Offer] = OrderedDict()
_lock = threading.Lock()


def offer(viewer: Viewer, name: str, make: Callable[[], bytes], *, again: bool = False) -> str:
    """Offer a file to a viewer; return its address, relative to any page."""
    token = secrets.token_urlsafe(18)
    with _lock:
        own = [one for one, known in _offers.items() if known.viewer.name == viewer.name]
        for old in own[: len(own) - MOST_OF_ONE + 1] if len(own) >= MOST_OF_ONE else ():
            del _offers[old]  # somebody who turns pages without end makes no link of anybody else's die
        _offers[token] = Offer(viewer, name, make, dt.datetime.now(dt.UTC).isoformat(), again)
        while len(_offers) > OFFERS_KEPT:
            _offers.popitem(last=False)
    return f"take/{token}/{name}"


def rows_links(viewer: Viewer, name: str, rows: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Offer rows as CSV and as a workbook; return label to address. Texts that look like formulas are disarmed."""
    from pipelines import flow

    kept = [dict(row) for row in rows]
    return {
        ending.upper(): offer(viewer, f"{name}.{ending}", partial(flow.rows_file, kept, ending, name))
        for ending in ("csv", "xlsx")
    }


def picture_links(
    viewer: Viewer, name: str, title: str, spec: Mapping[str, Any], rows: Sequence[Mapping[str, Any]]
) -> dict[str, str]:
    """Offer a chart as SVG and PNG; return label to address."""
    from dashboard.charts.pictures import picture

    kept = [dict(row) for row in rows]
    return {
        ending.upper(): offer(viewer, f"{name}.{ending}", partial(picture, spec, kept, ending, title))
        for ending in ("svg", "png")
    }


async def take(request: Request) -> Response:
    """Hand a file to the viewer it was offered to."""
    from dashboard.access.gate import HEADER, viewer_from_header

    with _lock:
        found = _offers.get(request.path_params["token"])
    viewer = viewer_from_header(request.headers.get(HEADER))
    if found is None or viewer is None or viewer != found.viewer:
        return PlainTextResponse(wording.FILE_GONE, status_code=404)
    if found.again and not viewer.is_fresh:
        return PlainTextResponse(wording.ASK_AGAIN, status_code=403)
    if await run_in_threadpool(erased_since, found.made_at):  # it may hold the rows of somebody who is erased
        return PlainTextResponse(wording.FILE_GONE, status_code=404)
    content = await make(viewer.name, found.make)
    await run_in_threadpool(note_taken, viewer, f"file taken away: {found.name}")
    ending = found.name.rsplit(".", 1)[-1]
    return Response(
        content,
        media_type=KINDS[ending],
        headers={"content-disposition": f'attachment; filename="{found.name}"', "cache-control": "no-store"},
    )


ROUTES = [Route("/take/{token}/{name}", take, methods=["GET"])]
