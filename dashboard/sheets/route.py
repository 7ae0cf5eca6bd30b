"""The addresses of the printed sheets. The viewer is asked anew from the gate's header; the board filters the rows."""

import datetime as dt
from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from dashboard import wording
from dashboard.access.gate import HEADER, viewer_from_header
from dashboard.access.sockets import make
from dashboard.access.trail import note_taken
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import NoBoard, home_folder
from dashboard.reads import Opened, parsed_day
from dashboard.screens.week.rows import CHOICES
from dashboard.writes import wait_until_published

# The viewer of the browser shows a PDF as an object of its own page; nothing else may load.
PDF_HEADERS = {
    "cache-control": "no-store",
    "content-security-policy": (
        "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"
    ),
}


def _viewer(request: Request) -> Viewer | None:
    return viewer_from_header(request.headers.get(HEADER))


def _answer(content: bytes | None, name: str) -> Response:
    if content is None:
        return PlainTextResponse(wording.NO_SUCH_SHEET, status_code=404)
    headers = {**PDF_HEADERS, "content-disposition": f'inline; filename="{name}.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)


def _print_week(viewer: Viewer, chosen: dict[str, str | None]) -> bytes | None:
    from dashboard.sheets.week import week_sheet

    wait_until_published()
    try:
        return week_sheet(Opened(viewer, Board(home_folder())), chosen)
    except NoBoard:
        return None


def _print_athlete(viewer: Viewer, athlete_id: str, own: bool) -> bytes | None:
    from dashboard.sheets.athlete import athlete_sheet

    wait_until_published()
    try:
        return athlete_sheet(Opened(viewer, Board(home_folder())), athlete_id, own)
    except NoBoard:
        return None


async def print_week(request: Request) -> Response:
    """Hand the week's sheet to a coach."""
    viewer = _viewer(request)
    if viewer is None or not viewer.is_coach:
        return _answer(None, "")
    chosen = {name: request.query_params.get(name) for name in CHOICES}
    week = chosen["week"] or dt.date.today().isoformat()
    content = await make(viewer.name, partial(_print_week, viewer, chosen))
    if content is not None:
        await run_in_threadpool(note_taken, viewer, f"sheet printed: week {_plain(week)}")
    return _answer(content, f"week-{_plain(week)}")


def _print_plan(viewer: Viewer, week: dt.date, group: str | None, athlete: str | None, calls: bool) -> bytes | None:
    from dashboard.sheets.plan import plan_sheet

    wait_until_published()
    try:
        return plan_sheet(Opened(viewer, Board(home_folder())), week, group, athlete, calls)
    except NoBoard:
        return None


async def print_plan(request: Request) -> Response:
    """Hand the plan of a week to a coach: for the wall, or with calls and flags for coaches."""
    viewer, asked = _viewer(request), request.query_params
    week = parsed_day(asked.get("week"))
    if viewer is None or not viewer.is_coach or week is None:
        return _answer(None, "")
    monday, calls = week - dt.timedelta(days=week.weekday()), asked.get("calls") == "1"
    told = partial(_print_plan, viewer, monday, asked.get("group"), asked.get("athlete"), calls)
    content = await make(viewer.name, told)
    if content is not None:
        what = "plan with calls" if calls else "plan"
        await run_in_threadpool(note_taken, viewer, f"sheet printed: {what} {monday}", asked.get("athlete", ""))
    return _answer(content, f"plan-{monday}")


async def print_athlete(request: Request) -> Response:
    """Hand an athlete's sheet to a coach who looks after them, to the athlete, or to a minor's guardian."""
    viewer = _viewer(request)
    if viewer is None:
        return _answer(None, "")
    athlete_id = request.path_params["athlete"]
    own = viewer.is_tied or request.query_params.get("own") == "1"
    content = await make(viewer.name, partial(_print_athlete, viewer, athlete_id, own))
    if content is not None:
        await run_in_threadpool(note_taken, viewer, "sheet printed: athlete", athlete_id)
    return _answer(content, _plain(athlete_id))


def _plain(name: str) -> str:
    return "".join(letter for letter in name if (letter.isascii() and letter.isalnum()) or letter == "-")[:60]


ROUTES = [
    Route("/sheet/week.pdf", print_week, methods=["GET"]),
    Route("/sheet/plan.pdf", print_plan, methods=["GET"]),
    Route("/sheet/{athlete}.pdf", print_athlete, methods=["GET"]),
]
