"""What the Data page brings in: files with their answers, cells mended, rows typed. Through the flow, as sources."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import squad_home
from dashboard.screens.data import words
from dashboard.writes import NotKept, in_words, publish_at_once, publish_soon

if TYPE_CHECKING:
    from pipelines.flow import LayoutOptions, Machine, Outcome
    from schemas.intake import Question

MOST_BYTES = 20 * 1024 * 1024  # as in server.maxUploadSize
MOST_FILES, MOST_AT_ONCE = 300, 100 * 1024 * 1024  # files, bytes brought together; own choice
ENDINGS = ("csv", "tsv", "txt", "xlsx", "ods", "parquet", "jsonl", "ndjson", "marks", "zip")

Row = dict[str, Any]
Answers = list[tuple["Question", str]]  # question, answer
Files = list[tuple[str, bytes]]  # name, content


def _options(answers: Sequence[tuple["Question", str]]) -> "LayoutOptions":
    from pipelines import flow

    return flow.LayoutOptions(layouts=flow.of_questions(answers))


def _must_be_a_file(name: str, content: bytes) -> None:
    """Hold to size and kind here as well: what the page says of them is only asked of a browser."""
    if len(content) > MOST_BYTES:
        raise NotKept(words.TOO_LARGE)
    if name.rsplit(".", 1)[-1].lower() not in ENDINGS:
        raise NotKept(words.not_this_kind(ENDINGS))


def preview_upload(viewer: Viewer, name: str, content: bytes, answers: Answers) -> "Outcome":
    """Return what loading a file would do with these answers; nothing is stored or remembered."""
    from pipelines import flow

    _only_coaches(viewer)
    _must_be_a_file(name, content)
    with in_words():
        return flow.preview(squad_home(), name, content, _options(answers), by=viewer.writer)


def load_upload(viewer: Viewer, name: str, content: bytes, answers: Sequence[tuple["Question", str]] = ()) -> "Outcome":
    """Load a file, remember the answers for its layout, and publish the board anew."""
    from pipelines import flow

    _only_coaches(viewer)
    _must_be_a_file(name, content)
    with in_words():
        outcome = flow.load_bytes(squad_home(), name, content, viewer.writer, _options(answers), derive_after=False)
    if outcome.problem:
        raise NotKept(outcome.problem)
    if outcome.load_no:
        publish_at_once()
    return outcome


def is_hidden(name: str) -> bool:
    """Return whether a file of a folder is none of the coach's: hidden, or the lock file of an open spreadsheet."""
    return any(part.startswith((".", "~$", "__MACOSX")) or part in ("Thumbs.db", "desktop.ini")
               for part in name.replace("\\", "/").split("/"))  # fmt: skip


def inside_folder(files: Files) -> Files:
    """Return files of one folder named by their way from there, as the command line names them."""
    tops = {name.partition("/")[0] for name, _ in files if "/" in name}
    if len(tops) != 1 or not all("/" in name for name, _ in files):
        return files
    return [(name.partition("/")[2], content) for name, content in files]


def _sorted_out(files: Files) -> tuple[Files, list["Outcome"]]:
    """Return the files that may be read, and of the others why not: one that is no table stops no other.

    Raises:
        NotKept: It is too much at once, or none of them may be read.
    """
    from pipelines import flow

    if len(files) > MOST_FILES or sum(len(content) for _, content in files) > MOST_AT_ONCE:
        raise NotKept(words.too_much(MOST_FILES, MOST_AT_ONCE // 1024**2))
    good, refused = [], []
    for name, content in files:
        try:
            _must_be_a_file(name, content)
            good.append((name, content))
        except NotKept as wrong:
            refused.append((name, str(wrong)))
    if not good and refused:
        raise NotKept(refused[0][1])
    return good, [flow.Outcome(name, problem=why) for name, why in refused]


def preview_uploads(viewer: Viewer, files: Files, answers: Answers) -> list["Outcome"]:
    """Return what loading files together would do with these answers; nothing is stored or remembered."""
    from pipelines import flow

    _only_coaches(viewer)
    good, refused = _sorted_out(files)
    with in_words():
        return [*flow.load_files(squad_home(), good, viewer.writer, _options(answers), check_only=True), *refused]


def load_uploads(viewer: Viewer, files: Files, answers: Answers) -> list["Outcome"]:
    """Load files together, remember the answers, and publish the board anew. One that cannot be read stops no other."""
    from pipelines import flow

    _only_coaches(viewer)
    good, refused = _sorted_out(files)
    with in_words():
        outcomes = flow.load_files(squad_home(), good, viewer.writer, _options(answers), derive_after=False)
    if any(outcome.load_no for outcome in outcomes):
        publish_at_once()
    return [*outcomes, *refused]


def questions_of(outcomes: Sequence["Outcome"]) -> list["Question"]:
    """Return the questions of files as one list, each asked once, the most rows first."""
    from pipelines import flow

    return flow.gathered(question for one in outcomes for question in one.questions)


def reasons_of(outcomes: Sequence["Outcome"]) -> list[Row]:
    """Return what would be set aside of files, grouped by reason."""
    from pipelines import flow

    return flow.reason_groups(outcomes)


def settle_conflict(viewer: Viewer, board: Board, reject_no: int, how: str) -> "Outcome":
    """Settle a conflict: keep the row of a cell, keep both, or dismiss it."""
    from pipelines import flow

    _only_coaches(viewer)
    if not board.rows(viewer, "rejected", {"reject_no": reject_no}):
        raise NotKept(words.NOT_YOURS)
    with in_words():
        outcome = flow.settle(squad_home(), reject_no, how, viewer.writer)
    publish_at_once()
    return outcome


def proposals(viewer: Viewer, board: Board | None, question: "Question") -> list[tuple[str, str]]:
    """Return the answers of a question that this viewer may see: of people, those they look after."""
    if question.ask != "athletes" or viewer.role == "head_coach" or board is None:
        return [*question.answers, *question.more]
    theirs = set(board.allowed_athletes(viewer)["athlete_id"])
    return [(answer, meaning) for answer, meaning in question.answers if answer == "new" or answer in theirs]


def mend_rows(viewer: Viewer, board: Board, fixes: Mapping[int, Mapping[str, str]]) -> tuple[list[int], list[str]]:
    """Mend rows that wait, by the number of one of their cells; return the loads made, and what could not be mended."""
    from pipelines import flow

    _only_coaches(viewer)
    loads: list[int] = []
    wrong: list[str] = []
    for reject_no, cells in fixes.items():
        if not board.rows(viewer, "rejected", {"reject_no": reject_no}):
            raise NotKept(words.NOT_YOURS)
        try:
            outcome = flow.mend(squad_home(), reject_no, cells, viewer.writer)
        except flow.ThirdstepError as trouble:
            wrong.append(str(trouble))
        else:
            loads += [outcome.load_no] if outcome.load_no else []
    if loads:
        publish_at_once()
    return loads, wrong


def columns_of(table: str) -> list[Row]:
    """Return what may be typed in the rows of a table."""
    from pipelines import flow

    return flow.entry_columns(table)


def check_typed(viewer: Viewer, board: Board, table: str, rows: Sequence[Row]) -> "Outcome":
    """Say what storing typed rows would do; rows on athletes of other groups are refused."""
    from pipelines import flow

    _only_own(viewer, board, rows)
    with in_words():
        outcome = flow.check_entry(squad_home(), table, rows, viewer.writer)
    if outcome.problem:
        raise NotKept(outcome.problem)
    return outcome


def keep_typed(viewer: Viewer, board: Board, table: str, rows: Sequence[Row]) -> "Outcome":
    """Store typed rows as a source; the board follows a moment later."""
    from pipelines import flow

    if check_typed(viewer, board, table, rows).reasons:  # one cell is enough: who typed it is there to mend it
        raise NotKept(words.NOT_YET)
    with in_words():
        outcome = flow.enter(squad_home(), table, rows, viewer.writer, derive_after=False, follow_next=True)
    publish_soon()
    return outcome


def machine_now() -> "Machine":
    """Return the room left on the disk, and the memory of the dashboard."""
    from pipelines import flow

    return flow.machine_state(squad_home())


def frame_error_s(rate: float) -> float:
    """Return how well a time between two pictures is known."""
    from pipelines import flow

    return flow.frame_error_s(rate)


def answers_kept(viewer: Viewer) -> list[Row]:
    """Return the answers that are remembered: all for the head coach, for staff those they gave."""
    from pipelines import flow

    _only_coaches(viewer)
    with in_words():
        kept = flow.list_answers(squad_home())
    return [row for row in kept if viewer.role == "head_coach" or row["answered_by"] == viewer.name]


def forget_answer(viewer: Viewer, layout: str, ask: str, about: str) -> None:
    """Take a remembered answer away, so that it is asked again."""
    from pipelines import flow

    if not any(row["layout"] == layout and row["ask"] == ask for row in answers_kept(viewer)):
        raise NotKept(words.NOT_YOURS)
    with in_words():
        flow.forget(squad_home(), layout, ask, about)


def _only_coaches(viewer: Viewer) -> None:
    if not viewer.is_coach or (viewer.role == "staff" and not viewer.event_groups):
        raise NotKept(words.LOAD_REFUSED)


def _only_own(viewer: Viewer, board: Board, rows: Sequence[Row]) -> None:
    _only_coaches(viewer)
    theirs = set(board.allowed_athletes(viewer)["athlete_id"])
    if any(row.get("athlete_id") not in theirs for row in rows):
        raise NotKept(words.NOT_YOURS)
