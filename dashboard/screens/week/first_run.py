"""An empty home: what to do first, with templates and sample files at hand."""

from functools import partial

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.downloads import offer
from dashboard.parts.marks import text
from dashboard.writes import sample_file, template_bytes


def first_run(viewer: Viewer) -> str:
    """Return the steps from an empty home to the first sheet; staff get those that are theirs."""
    roster, load = _files(viewer, "athlete"), _to("data", wording.TO_DATA)
    steps = [
        f"<b>{wording.FIRST_WHO}</b> {wording.FIRST_WHO_HOW} {roster} {load}",
        f"<b>{wording.FIRST_FILES}</b> {wording.FIRST_FILES_HOW}{_calls(viewer)}",
    ]
    if viewer.role == "head_coach":
        people = _to("people", wording.TO_PEOPLE)
        steps.append(f"<b>{wording.FIRST_PEOPLE}</b> {wording.FIRST_PEOPLE_HOW} {people}")
    steps.append(f"<b>{wording.FIRST_METHODS}</b> {wording.FIRST_METHODS_HOW} {_to('methods', wording.TO_METHODS)}")
    listed = "".join(f"<li>{step}</li>" for step in steps)
    return (
        f'<h1>{wording.FIRST_TITLE}</h1><p class="lede">{wording.FIRST_LEDE}</p><ol class="first">{listed}</ol>'
        f'<p class="soft">{text(wording.FIRST_SAMPLES)}</p>'
    )


def _to(page: str, label: str) -> str:
    return f'<a class="onward" href="{page}" target="_self">{text(label)} →</a>'


def _calls(viewer: Viewer) -> str:
    return "".join(
        f"<dl><dt>{text(call)}</dt>"
        + "".join(f"<dd>{text(wording.FIRST_RESTS_ON[table])} {_files(viewer, table)}</dd>" for table in tables)
        + "</dl>"
        for call, tables in wording.FIRST_CALLS
    )


def _files(viewer: Viewer, table: str) -> str:
    """Return links to the empty template of a table and to a file of the invented squad."""
    found = [(f"{table}.csv", template_bytes(table, "csv"), wording.TEMPLATE)]
    sample = sample_file(table)
    found += [(*sample, wording.SAMPLE)] if sample else []
    links = " · ".join(
        f'<a href="/{text(offer(viewer, name, partial(bytes, content)))}" download '
        f'aria-label="{text(f"{wording.RECORD_TITLES[table]}: {label}")}">{text(label)}</a>'
        for name, content, label in found
        if content is not None
    )
    return f'<span class="files">{links}</span>'
