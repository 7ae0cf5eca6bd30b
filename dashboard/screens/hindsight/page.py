"""Flags in hindsight: how past hamstring flags did, beside rules that know less, and the rules' numbers."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.charts import hindsight as charts
from dashboard.parts import page
from dashboard.parts.attention import attention_tables
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import chart, explain, finding, scheme, table
from dashboard.parts.marks import SCROLL, caution, empty, lede, prose
from dashboard.parts.phone_parts import phone_parts
from dashboard.reads import Opened
from dashboard.screens.hindsight import words
from dashboard.screens.hindsight import writes as ruling
from dashboard.screens.hindsight.rule_editor import rule_editor, told
from dashboard.writes import NotKept
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
_ROW_HEAD = "border-bottom:1px solid var(--rule);vertical-align:top;padding-top:10px"


def two_by_two(flag: Row) -> Markup:
    """Return the four counts with their words, for the eye and for a screen reader."""

    def cell(key: str, said: str) -> Markup:
        return html('<td><b class="big">{}</b><br><span class="soft">{}</span></td>', words.count(flag[key]), said)

    def head(said: str) -> Markup:
        return html('<th scope="row" style="{}">{}</th>', _ROW_HEAD, said)

    return (
        html('{}<table class="plain"><thead><tr><td></td>', SCROLL)
        + html('<th scope="col">{}</th><th scope="col">{}</th></tr></thead><tbody>', words.WITH_INJURY, words.WITHOUT)
        + html("<tr>{}{}{}</tr>", head(words.FLAGGED), cell("hits", words.FOUND), cell("false_flags", words.FALSE))
        + html(
            "<tr>{}{}{}</tr></tbody></table></div>",
            head(words.NOT_FLAGGED),
            cell("missed", words.MISSED),
            cell("quiet", words.QUIET),
        )
    )


def what_followed(opened: Opened, flag: Row) -> None:
    """Show the two-by-two table."""
    finding(words.WHAT_FOLLOWED, words.COUNTING)
    page.show(html("{}<p>{}</p>", two_by_two(flag), prose(words.in_words(flag))))

    def behind() -> list[tuple[str, list[Row]]]:
        flagged = opened.rows("flag_backtest_week", {"flagged": True}, order_by=["-week_of", "athlete_id"])
        names = names_of(opened)
        return [("flag_backtest_week", [{"athlete": names.get(r["athlete_id"], ""), **r} for r in flagged])]

    explain(opened, "followed", ("flag_backtest", "flag_backtest_week"), behind)


def names_of(opened: Opened) -> dict[str, str]:
    """Return display names by athlete."""
    return {r["athlete_id"]: r["display_name"] for r in opened.rows("athlete")}


def how_sure(opened: Opened, flag: Row) -> None:
    """Show the shares with their intervals, as a chart and as a table."""
    parts = {
        "sensitivity": (flag["hits"], flag["injuries"]),
        "ppv": (flag["hits"], flag["flags"]),
        "specificity": (flag["quiet"], flag["without_injury"]),
    }
    rows = [
        {
            "name": name,
            "value": flag[share],
            "low": flag[f"{share}_exact_low"],
            "high": flag[f"{share}_exact_high"],
            "counts": f"{words.count(parts[share][0])} of {words.count(parts[share][1])}",
            "share": share,
        }
        for share, name in words.SHARES
    ]
    drawn = [r for r in rows if r["low"] is not None]
    finding(words.HOW_SURE, words.INTERVAL_KEY)
    if drawn:
        chart(charts.share_intervals(scheme(), len(drawn)), drawn, words.interval_alt(drawn))
    shown = [
        {
            **r,
            "value": words.percent(r["value"]),
            **{
                kind: words.span(flag[f"{r['share']}_{kind}_low"], flag[f"{r['share']}_{kind}_high"])
                for kind in ("exact", "wilson", "athletes")
            },
        }
        for r in rows
    ]
    page.show(table(shown, [(key, label, None) for key, label in words.SHARE_COLUMNS]))
    counted = {"rule": "flag_in_force"}
    explain(opened, "sure", ("flag_backtest",), lambda: [("flag_backtest", opened.rows("flag_backtest", counted))])


def beside(opened: Opened, rules: dict[str, Row]) -> None:
    """Show the flag beside never, always, random and history alone."""
    flag = rules["flag_in_force"]
    finding(words.BESIDE, words.BESIDE_KEY)
    drawn = [
        {
            "name": words.RULE_NAMES[rule],
            "flagged": rules[rule]["flagged_share"],
            "found": rules[rule]["sensitivity"],
        }
        for rule in words.COMPARED
    ]
    chart(charts.rules_beside(scheme(), len(drawn)), drawn, words.beside_alt(drawn))
    shown = [
        {
            "name": words.RULE_NAMES[rule],
            "means": words.RULE_MEANS[rule],
            "found": f"{words.count(row['hits'])} of {words.count(flag['injuries'])}",
            "false": words.count(row["false_flags"]),
            "each_week": wording.number(row["flags_a_week"], 1),
            "followed": words.percent(row["ppv"]),
            "lift": words.times(row["lift"], row["lift_athletes_low"], row["lift_athletes_high"]),
        }
        for rule, row in ((rule, rules[rule]) for rule in words.COMPARED)
    ]
    columns = [(key, label, None) for key, label in words.BESIDE_COLUMNS]
    page.show(html("{}<p>{}</p>", table(shown, columns), prose(words.chance_told(flag))))
    explain(opened, "beside", ("flag_backtest",), lambda: [("flag_backtest", opened.rows("flag_backtest"))])


def acted(opened: Opened, rules: dict[str, Row]) -> None:
    """Show the flags acted on and those not."""
    finding(words.ACTED, words.acted_told(rules["acted_on"], rules["not_acted_on"]))
    shown = [
        {
            "name": words.RULE_NAMES[rule],
            "count": words.count(row["flags"]),
            "hits": words.count(row["hits"]),
            "followed": words.percent(row["ppv"]),
            "range": words.span(row["ppv_exact_low"], row["ppv_exact_high"]),
        }
        for rule, row in ((rule, rules[rule]) for rule in ("acted_on", "not_acted_on"))
    ]
    page.show(table(shown, [(key, label, None) for key, label in words.ACTED_COLUMNS]))

    def behind() -> list[tuple[str, list[Row]]]:
        flagged = opened.rows(
            "flag_backtest_week", {"flagged": True, "acted": True}, order_by=["-week_of", "athlete_id"]
        )
        names = names_of(opened)
        decided = opened.rows("decision", order_by=["-week_of", "athlete_id"])
        return [
            ("flag_backtest_week", [{"athlete": names.get(r["athlete_id"], ""), **r} for r in flagged]),
            ("decision", [{"athlete": names.get(r["athlete_id"], ""), **r} for r in decided]),
        ]

    explain(opened, "acted", ("flag_backtest_week",), behind)


def injuries(opened: Opened) -> None:
    """List the injuries looked back on, each with how its athlete stood the evening before its week."""
    rows = opened.rows("flag_backtest_week", {"injured_on": (">", "1900-01-01")}, order_by=["injured_on"])
    names = names_of(opened)
    shown = [
        {
            **r,
            "injured_on": wording.full_day(r["injured_on"]),
            "who": names.get(r["athlete_id"], r["athlete_id"]),
            "asked": words.OUTCOMES[r["outcome"]],
            "acted": wording.cell(r["acted"]),
        }
        for r in rows
    ]
    listed = table(shown, [(key, label, None) for key, label in words.INJURY_COLUMNS])
    page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.INJURIES, listed or empty(words.NO_INJURIES)))
    explain(
        opened,
        "injuries",
        ("flag_backtest_week",),
        lambda: [
            ("flag_backtest_week", [{"athlete": names.get(r["athlete_id"], ""), **r} for r in rows]),
            ("injury", [{"athlete": names.get(r["athlete_id"], ""), **r} for r in opened.rows("injury")]),
        ],
    )


def other_numbers(opened: Opened, flag: Row, history: list[Row]) -> None:
    """Look back under the rules as they stood after an earlier change."""
    changes = [r for r in told(history) if r["change_no"] is not None]
    if not changes:
        return
    finding(words.OTHER_VERSION, words.OTHER_LEDE)
    names = {0: words.AS_THEY_CAME, **{r["change_no"]: words.change_name(r) for r in changes}}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            words.OTHER_VERSION, list(names), key="version", format_func=lambda n: names[n],
            label_visibility="collapsed", width=460,
        )  # fmt: skip
        asked = st.button(words.LOOK_BACK, key="look_back")
    if asked:
        with st.spinner(words.LOOKING_BACK):
            try:
                found = {r["rule"]: r for r in ruling.flags_under(opened.viewer, chosen)}
                page.show(html('<p role="status">{}</p>', prose(words.under_other(found["flag_in_force"], flag))))
            except NotKept as wrong:
                page.show(html('<p class="said wrong" role="status">{}</p>', wrong))


def looked_back(opened: Opened, rules: dict[str, Row], flag: Row, history: list[Row]) -> None:
    """Show what followed flags, and the injuries; so few that nothing can be concluded have their figures folded."""
    left, right = st.columns(2, gap="large")
    with left:
        what_followed(opened, flag)
    with right:
        injuries(opened)
    # So few that nothing can be concluded: what is said of them by figures stands behind a line.
    is_few = flag["reason"] == "too_few_injuries"
    with st.expander(words.IN_FIGURES) if is_few else st.container():
        how_sure(opened, flag)
        beside(opened, rules)
        acted(opened, rules)
        other_numbers(opened, flag, history)


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.TITLE)
    if opened is None:
        return
    if opened.viewer.role != "head_coach":
        page.show(html("<h1>{}</h1>{}", words.TITLE, empty(words.FOR_HEAD_COACH)))
        return
    rules = {r["rule"]: r for r in opened.rows("flag_backtest")}
    flag = rules.get("flag_in_force")
    try:
        history = ruling.rule_history(opened.viewer)
    except NotKept as wrong:
        history = []
        page.show(html('<p class="said wrong">{}</p>', wrong))
    if flag is None:
        page.show(html("<h1>{}</h1>{}", words.TITLE, empty(words.NOTHING_YET)))
    else:
        page.show(
            html("<h1>{}</h1>{}", words.TITLE, lede(flag["sentence"]))
            + html(
                '<p class="soft">{} {} {}</p>',
                prose(words.weeks_told(flag)),
                prose(words.version_told(flag, history)),
                prose(flag["entered_sentence"]),
            )
        )
        phone_parts(words.PARTS, prefix="of_hindsight", place="show")
        if flag["judged"]:
            with st.container(key="of_hindsight_back"):
                looked_back(opened, rules, flag, history)
    with st.container(key="of_hindsight_back_right"):
        with st.expander(words.ATTENTION_BEHIND):
            page.show(attention_tables(opened))
        items = join_html(html("<li>{}</li>", line) for line in words.NOT_MEANT)
        page.show(html('<div class="finding"><h2>{}</h2><ul>{}</ul></div>', words.MEANING, items))
    page.use_house_style(
        "@media (max-width: 760px) { .st-key-of_hindsight_rules :is(td, th) { padding-block: 3px !important; } }"
    )
    with st.container(key="of_hindsight_rules"):
        rule_editor(opened.viewer, history, opened.rows("readiness_noise"))
    page.show(caution(wording.HAMSTRING_CAUTION) + caution())


draw()
