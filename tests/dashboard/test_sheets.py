"""Printed sheets and files to take away: what is on them, and that only the right viewer gets them."""

import io
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from starlette.applications import Starlette
from starlette.testclient import TestClient

from dashboard import downloads as taking
from dashboard import wording
from dashboard.access import gate
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.charts import start, work
from dashboard.charts.pictures import filled, picture
from dashboard.parts.lines import trend_line
from dashboard.reads import Opened
from dashboard.sheets import __main__ as typesetting
from dashboard.sheets import athlete, route, typeset, week
from dashboard.sheets.typeset import small_line
from pipelines.cli.main import main as cli
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF
from tests.dashboard.small_board import table_of

EVIL = '#panic("no") $x$ *bold* <img> \\ "'


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[dict]:
    """Note what is handed to the typesetter in place of setting it."""
    notes: list[dict] = []

    def note(template: str, said: dict) -> bytes:
        notes.append(said)
        return b"%PDF"

    monkeypatch.setattr(week, "pdf", note)
    monkeypatch.setattr(athlete, "pdf", note)
    return notes


def test_the_week_s_sheet_is_a_tagged_pdf_of_a4(board: Board):
    content = week.week_sheet(Opened(HEAD, board), {})
    assert content is not None
    assert content.startswith(b"%PDF-")
    # PDF/UA-1 (ISO 14289-1, from memory): the standard's name stands in the file's metadata
    assert b"pdfuaid" in content


def test_the_printed_sheet_names_whom_the_viewer_looks_after_and_nobody_else(board: Board, told: list[dict]):
    week.week_sheet(Opened(HEAD, board), {})
    week.week_sheet(Opened(STAFF, board), {})
    everyone, own_groups = ({row["name"] for row in said["rows"]} for said in told)
    allowed = board.allowed_athletes(STAFF)["display_name"].to_list()
    assert own_groups == set(allowed) < everyone


def test_choices_of_the_page_hold_on_paper(board: Board, told: list[dict]):
    week.week_sheet(Opened(HEAD, board), {"group": "hurdles", "sort": "name"})
    names = [row["name"] for row in told[0]["rows"]]
    assert names == sorted(names)
    assert {row["about"].split(" · ")[0] for row in told[0]["rows"] if not row["calm"]} == {"hurdles"}


def test_the_athlete_s_own_words_leave_the_hamstring_call_to_the_coach(board: Board, told: list[dict]):
    opened = Opened(HEAD, board)
    athlete.athlete_sheet(opened, "teo-brandmere")
    athlete.athlete_sheet(opened, "teo-brandmere", own=True)
    titles = [[call["title"] for call in said["calls"]] for said in told]
    assert titles == [["Training today", "Hamstring", "Start"], ["Training today", "Start"]]


def test_an_athlete_s_sheet_is_set_with_its_charts(board: Board):
    content = athlete.athlete_sheet(Opened(HEAD, board), "teo-brandmere")
    assert content is not None
    assert content.startswith(b"%PDF-")
    assert len(content) > 20_000


def test_nobody_prints_an_athlete_they_do_not_look_after(board: Board):
    assert athlete.athlete_sheet(Opened(STAFF, board), "rune-halvard-okoro") is None
    assert athlete.athlete_sheet(Opened(ATHLETE, board), "marit-oakhollow") is None
    assert athlete.athlete_sheet(Opened(HEAD, board), "nobody") is None


def test_what_is_told_is_text_and_never_markup(home: Path, board_like: Callable[..., Path]):
    evil = board_like(athlete=table_of(home, "athlete").with_columns(display_name=pl.lit(EVIL)))
    content = week.week_sheet(Opened(HEAD, Board(evil)), {})
    assert content is not None
    assert content.startswith(b"%PDF-")


def test_states_on_paper_differ_by_rule_and_word_not_by_colour(board: Board, told: list[dict]):
    week.week_sheet(Opened(HEAD, board), {})
    rules = {(row["training"]["word"], row["training"]["rule"]) for row in told[0]["rows"]}
    assert {("as planned", "quiet"), ("adapt", "adapt"), ("talk first", "talk"), ("no call", "none")} >= rules
    assert len(rules) > 1


def test_a_small_line_on_paper_is_grey_and_says_what_it_shows():
    drawn, said = small_line(trend_line([1.90, 1.88], [1.86], [1.92]))
    assert "#0072B2" not in drawn
    assert said.startswith("weekly level from 1.90 to 1.88")
    assert small_line(trend_line([None], None, None)) == ("", "no timed start")


def as_viewer(monkeypatch: pytest.MonkeyPatch, home: Path, viewer: Viewer | None) -> TestClient:
    monkeypatch.setenv("THIRDSTEP_HOME", str(home))
    monkeypatch.setattr(gate, "viewer_from_header", lambda value: viewer)
    monkeypatch.setattr(route, "viewer_from_header", lambda value: viewer)
    return TestClient(Starlette(routes=[*route.ROUTES, *taking.ROUTES]))


def test_the_print_s_address_asks_who_looks(monkeypatch: pytest.MonkeyPatch, home: Path):
    assert as_viewer(monkeypatch, home, None).get("/sheet/week.pdf").status_code == 404
    assert as_viewer(monkeypatch, home, ATHLETE).get("/sheet/week.pdf").status_code == 404
    assert as_viewer(monkeypatch, home, ATHLETE).get("/sheet/marit-oakhollow.pdf").status_code == 404
    own = as_viewer(monkeypatch, home, ATHLETE).get("/sheet/teo-brandmere.pdf")
    assert (own.status_code, own.headers["content-type"]) == (200, "application/pdf")
    assert own.headers["cache-control"] == "no-store"


def test_a_file_is_for_the_one_it_was_offered_to(monkeypatch: pytest.MonkeyPatch, home: Path):
    address = "/" + taking.rows_links(HEAD, "load_week", [{"a": 1}])["CSV"]
    assert as_viewer(monkeypatch, home, STAFF).get(address).status_code == 404
    assert as_viewer(monkeypatch, home, None).get(address).status_code == 404
    demoted = Viewer(HEAD.name, "staff", event_groups=("hurdles",))
    assert as_viewer(monkeypatch, home, demoted).get(address).status_code == 404
    answer = as_viewer(monkeypatch, home, HEAD).get(address)
    assert (answer.status_code, answer.text) == (200, "a\r\n1\r\n")
    assert as_viewer(monkeypatch, home, HEAD).get("/take/guessed/load_week.csv").status_code == 404


def test_a_text_that_looks_like_a_formula_is_disarmed(monkeypatch: pytest.MonkeyPatch, home: Path):
    client = as_viewer(monkeypatch, home, HEAD)
    links = taking.rows_links(HEAD, "notes", [{"note": '=HYPERLINK("x")', "value": -1.5}])
    # CSV injection, OWASP (from memory): texts beginning with = + - @ run in a spreadsheet
    assert client.get("/" + links["CSV"]).text.splitlines()[1].startswith("\"'=HYPERLINK")
    cell = load_workbook(io.BytesIO(client.get("/" + links["XLSX"]).content))["notes"]["A2"]
    assert cell.data_type == "s"


def test_old_offers_make_room_for_new_ones():
    first = taking.offer(HEAD, "a.csv", lambda: b"")
    for _ in range(taking.MOST_OF_ONE):
        taking.offer(HEAD, "b.csv", lambda: b"")
    assert first.split("/")[1] not in taking._offers
    for number in range(taking.OFFERS_KEPT):
        taking.offer(Viewer(f"reader {number}", "athlete", "a"), "b.csv", lambda: b"")
    assert len(taking._offers) == taking.OFFERS_KEPT


def test_somebody_who_turns_pages_without_end_takes_no_link_of_anybody_else_away():
    theirs = taking.offer(HEAD, "a.csv", lambda: b"")
    for _ in range(2 * taking.MOST_OF_ONE):
        taking.offer(Viewer("marit", "athlete", "marit-oakhollow"), "b.csv", lambda: b"")
    assert theirs.split("/")[1] in taking._offers
    assert sum(one.viewer.name == "marit" for one in taking._offers.values()) == taking.MOST_OF_ONE


ROWS = [{"no": 0, "week": "16 Nov", "value": 1900.0, "at_least": 0.0, "low": 1700.0, "high": 2000.0, "is_over": False}]


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_a_chart_becomes_a_picture_with_its_finding_on_the_paper_of_its_scheme(scheme: str):
    spec = work.week_bars(scheme, "effort")
    svg = picture(spec, ROWS, "svg", "Load is inside the own range").decode()
    assert "Load is inside the own range" in svg
    assert "16 Nov" in svg
    assert filled(spec, ROWS)["background"] == {"light": "#FBFAF6", "dark": "#14171A", "print": "#FFFFFF"}[scheme]
    assert picture(spec, ROWS, "png")[:8] == b"\x89PNG\r\n\x1a\n"


def test_a_picture_for_paper_has_no_colour():
    spec = str(start.start_trend("print")) + str(start.first_contacts("print")) + str(start.speed("print"))
    colours = {spec[i : i + 7] for i in range(len(spec)) if spec[i] == "#" and spec[i + 1 : i + 7].isalnum()}
    assert colours
    assert all(c[1:3] == c[3:5] == c[5:7] for c in colours)


def test_the_command_line_prints_the_same_sheets(home: Path, tmp_path: Path):
    out = tmp_path / "week.pdf"
    done = CliRunner().invoke(cli, ["--home", str(home), "sheet", "week", "--out", str(out)])
    assert (done.exit_code, done.output) == (0, f"Written: {out}\n")
    assert out.read_bytes().startswith(b"%PDF-")


def test_the_command_line_says_what_is_not_there_and_writes_nothing(home: Path, tmp_path: Path):
    out = tmp_path / "sheet.pdf"
    done = CliRunner().invoke(cli, ["--home", str(home), "sheet", "athlete", "nobody", "--out", str(out)])
    assert done.exit_code == 1
    assert "There is no athlete 'nobody'. 'thirdstep table athlete' lists them." in done.output
    assert not out.exists()


def test_a_week_that_is_no_monday_of_the_board_is_named_with_those_that_are(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setenv("THIRDSTEP_HOME", str(home))
    monkeypatch.setattr("sys.argv", ["sheets", "week", "--week", "2026-11-17"])
    assert typesetting.main() == 1
    said = capsys.readouterr()
    assert "There is no sheet for '2026-11-17'. Give the Monday of a week" in said.err
    assert said.out == ""


STRANGE = ("李小龙", "Zoë 🏃🏽\u200d♀️", "محمد", "अनु", "a\x00b", "broken \ud83d", "Łukasz Őž Ελένη Иван")


@pytest.mark.parametrize("sheet", ["week.typ", "athlete.typ"])
@pytest.mark.parametrize("name", STRANGE)
def test_a_letter_that_the_type_lacks_is_stood_in_for_and_never_costs_the_sheet(name, sheet, board, monkeypatch):
    said: list = []
    room = week if sheet == "week.typ" else athlete

    def put_name(template: str, told: dict) -> bytes:
        assert template == sheet
        return typeset.pdf(template, {**told, "title": name, "caution": f"{name} {told['caution']}"})

    real = typeset._typeset
    monkeypatch.setattr(room, "pdf", put_name)
    monkeypatch.setattr(typeset, "_typeset", lambda template, told: (said.append(told), real(template, told))[1])
    content = (
        week.week_sheet(Opened(HEAD, board), {})
        if room is week
        else athlete.athlete_sheet(Opened(HEAD, board), ATHLETE.athlete_id)
    )
    assert content is not None
    assert content.startswith(b"%PDF-")
    lacks = not name.startswith(("Ł", "محمد", "अ"))  # the typesetter brings a fallback font for these
    assert (typeset.STAND_IN in said[-1]["title"]) == lacks
    assert (wording.letters_lacking(typeset.STAND_IN) in said[-1]["foot"]) == lacks


def test_a_letter_in_a_picture_is_stood_in_for_too(board: Board):
    drawn = '<svg xmlns="http://www.w3.org/2000/svg" width="90" height="20"><text x="5" y="9">李 sled</text></svg>'
    told: list[dict] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(week, "pdf", lambda template, said: told.append(said) or b"")
        week.week_sheet(Opened(HEAD, board), {})
    said = told[0]
    said["rows"][0] |= {"trend": drawn, "trend_alt": "a line"}
    assert typeset.pdf("week.typ", said).startswith(b"%PDF-")


def test_a_fault_of_a_sheet_that_is_no_letter_is_told_as_it_is():
    with pytest.raises(RuntimeError, match="title"):
        typeset.pdf("week.typ", {"foot": "李"})
