"""An empty home: what to do first, with templates and sample files at hand."""

from functools import partial

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.downloads import offer
from dashboard.writes import sample_file, template_bytes
from schemas.html import Markup, html, join_html


def first_run(viewer: Viewer) -> Markup:
    """Return the steps from an empty home to the first sheet; staff get those that are theirs."""
    roster, load = _files(viewer, "athlete"), _to("data", wording.TO_DATA)
    steps = [
        html("<b>{}</b> {} {} {}", wording.FIRST_WHO, wording.FIRST_WHO_HOW, roster, load),
        html("<b>{}</b> {}{}", wording.FIRST_FILES, wording.FIRST_FILES_HOW, _calls(viewer)),
    ]
    if viewer.role == "head_coach":
        people = _to("people", wording.TO_PEOPLE)
        steps.append(html("<b>{}</b> {} {}", wording.FIRST_PEOPLE, wording.FIRST_PEOPLE_HOW, people))
    steps.append(
        html("<b>{}</b> {} {}", wording.FIRST_METHODS, wording.FIRST_METHODS_HOW, _to("methods", wording.TO_METHODS))
    )
    listed = join_html(html("<li>{}</li>", step) for step in steps)
    return html(
        '<h1>{}</h1><p class="lede">{}</p><ol class="first">{}</ol><p class="soft">{}</p>',
        wording.FIRST_TITLE,
        wording.FIRST_LEDE,
        listed,
        wording.FIRST_SAMPLES,
    )


def _to(page: str, label: str) -> Markup:
    return html('<a class="onward" href="{}" target="_self">{} →</a>', page, label)


def _calls(viewer: Viewer) -> Markup:
    return join_html(
        (
            html("<dl><dt>{}</dt>", call)
            + join_html(
                (html("<dd>{} {}</dd>", wording.FIRST_RESTS_ON[table], _files(viewer, table)) for table in tables)
            )
            + html("</dl>")
            for call, tables in wording.FIRST_CALLS
        )
    )


def _files(viewer: Viewer, table: str) -> Markup:
    """Return links to the empty template of a table and to a file of the invented squad."""
    found = [(f"{table}.csv", template_bytes(table, "csv"), wording.TEMPLATE)]
    sample = sample_file(table)
    found += [(*sample, wording.SAMPLE)] if sample else []
    links = join_html(
        (
            html(
                '<a href="/{}" download aria-label="{}">{}</a>',
                offer(viewer, name, partial(bytes, content)),
                f"{wording.RECORD_TITLES[table]}: {label}",
                label,
            )
            for name, content, label in found
            if content is not None
        ),
        " · ",
    )
    return html('<span class="files">{}</span>', links)
