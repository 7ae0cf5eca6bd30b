"""Trials of two ways to start: what was found, how surely, and how many runs it takes."""

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.calls import main_progress
from dashboard.parts.figure import Column, explain, finding, table
from dashboard.parts.marks import empty
from dashboard.reads import Opened
from dashboard.screens.starts import words
from dashboard.screens.starts.lots import lots
from schemas.html import html, join_html


def trials(opened: Opened, athlete_id: str, name: str) -> None:
    """Show the athlete's trials of A against B, and the runs it takes to see a change at all."""
    rows = opened.rows("start_trial_result", {"athlete_id": athlete_id}, order_by=["-last_on", "tried"])
    progress = main_progress(opened, athlete_id)
    finding(words.TRIALS_TITLE, words.TRIALS_LEDE)
    if rows:
        items = join_html(html("<li><b>{}</b>. {}</li>", row["tried"], row["sentence"]) for row in rows)
        told = [
            {
                **row,
                "difference": wording.number(_ms(row["difference_s"]), 0, "ms", signed=True),
                "interval": words.interval(_ms(row["difference_low_s"]), _ms(row["difference_high_s"])),
                "chance": None if row["p_chance"] is None else wording.sure(row["p_chance"]),
            }
            for row in rows
        ]
        columns: list[Column] = [(key, label, None) for key, label in words.TRIAL_COLUMNS]
        page.show(html('<ul class="notes">{}</ul>{}', items, table(told, columns)))
    else:
        page.show(empty(words.NO_TRIALS, words.NO_TRIALS_NEXT))
    if progress and progress["plan_sentence"]:
        page.show(html("<p>{} {}.</p>", words.OVER_WEEKS, progress["plan_sentence"]))
    page.show(html('<p class="soft">{}</p>', words.TRIALS_KEY))
    lots(opened, athlete_id, name)
    explain(
        opened,
        "trials",
        ("start_trial_result",),
        lambda: [
            ("start_trial_result", rows),
            (
                "start_trial",
                opened.rows("start_trial", {"athlete_id": athlete_id}, order_by=["-session_date"], limit=40),
            ),
        ],
    )


def _ms(seconds: float | None) -> float | None:
    return None if seconds is None else 1000 * seconds
