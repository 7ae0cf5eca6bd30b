"""What only many squads can answer, as expressions that any engine computes: DuckDB here, Spark where there is one.

Every answer is cells of one partition of people: no totals, no second cut of the same people, so that nothing follows
from the difference of two cells. A cell is told when at least ten people of at least three squads are in it and no
squad is more than half of it. Rounding is the publisher's (``reference``).
"""

from collections.abc import Callable, Mapping
from typing import Any

import ibis
import pyarrow as pa
from ibis import _
from ibis.expr.types import Table as Rows
from ibis.expr.types import Value

from pipelines.federation.lake import Lake
from schemas.shared import SHARED

# Floors of a cell, own choice: common practice of published statistics is between 3 and 10 people.
LEAST_PEOPLE, LEAST_SQUADS, MOST_OF_ONE_SQUAD = 10, 3, 0.5
WEEKS_BACK = 52  # what a norm and a typical error are read from
LEAST_WEEKS, LEAST_SPAN_WEEKS = 10, 26  # of runs, before a person's improvement is read off them; own choice
Answers = dict[str, list[dict[str, Any]]]  # question -> cells
SERIES = ("start_kind", "clock_start", "timing_kind")


def kept(cells: Rows) -> Rows:
    """Return the cells that may be told."""
    enough = (_.people >= LEAST_PEOPLE) & (_.squads >= LEAST_SQUADS)
    return cells.filter(enough & (_.most_of_one <= MOST_OF_ONE_SQUAD * _.people)).drop("most_of_one")


def recent(runs: Rows) -> Rows:
    """Return the runs of the last year, each with the one age band its person counts in: the last they were in.

    A person in two bands would make two cells that differ by few people.
    """
    last = runs.aggregate(last_week=_.week_no.max())
    year = runs.cross_join(last).filter(_.week_no > _.last_week - WEEKS_BACK).drop("last_week")
    band = year.group_by("squad", "person").aggregate(band=_.age_from.max())
    return year.drop("age_from").join(band, ["squad", "person"]).rename(age_from="band")


def typical_error(runs: Rows) -> Rows:
    """Return the typical error of the 10 m time by timing system: the SD of one person's runs of one day and start.

    s = sqrt(sum over person-days of (n - 1) var / sum of (n - 1)), pooled over people and squads (Hopkins 2000). It
    holds the athlete's own variation from run to run as well as the timing. Null rule: a person-day of one run
    tells nothing.
    """
    days = (
        recent(runs)
        .group_by("squad", "person", "week_no", "day_no", *SERIES)
        .aggregate(n=_.count(), variance=_.t_10_s.var(how="sample"))
        .filter(_.n >= 2)
    )
    by_squad = days.group_by(*SERIES, "squad").aggregate(
        squares=(_.variance * (_.n - 1)).sum(), freedom=(_.n - 1).sum(), n=_.person.nunique()
    )
    cells = by_squad.group_by(*SERIES).aggregate(
        value=(_.squares.sum() / _.freedom.sum()).sqrt(), freedom=_.freedom.sum(), **_sizes()
    )
    return kept(cells).order_by(*SERIES)


def norms(runs: Rows) -> Rows:
    """Return quartiles of people's own median 10 m time of a year by age band, sex and event, and the clubs' spread.

    The median and not the best: a best of many runs beats a best of few by chance. Between squads: the root of the
    one-way variance component max(0, (MSB - MSW) / n0), n0 = (N - sum n_j^2 / N) / (k - 1) (Searle 1971); null where no
    squad has two people. Null rule: people without sex, event or birth date are in no cell.
    """
    by = ["age_from", "sex", "event_group", *SERIES]
    own = recent(runs).group_by("squad", "person", *by).aggregate(own_s=_.t_10_s.median())
    own = own.filter(_.age_from.notnull() & _.sex.notnull() & _.event_group.notnull())
    quartiles = own.group_by(by).aggregate(
        low=_.own_s.quantile(0.25), value=_.own_s.quantile(0.5), high=_.own_s.quantile(0.75), centre=_.own_s.mean()
    )
    squads = own.group_by(*by, "squad").aggregate(
        n=_.person.nunique(), mean=_.own_s.mean(), squares=_.own_s.var(how="sample").fill_null(0.0) * (_.count() - 1)
    )
    spread = (
        squads.join(quartiles.select(*by, "centre"), by)
        .group_by(by)
        .aggregate(
            between=(_.n * (_.mean - _.centre) ** 2).sum(), within=_.squares.sum(), square_sizes=(_.n * _.n).sum(),
            **_sizes(),
        )
        .mutate(freedom=_.people - _.squads)
    )  # fmt: skip
    n0 = (_.people - _.square_sizes / _.people) / (_.squads - 1)
    component = (_.between / (_.squads - 1) - _.within / _.freedom.nullif(0)) / n0
    told = spread.filter(_.squads >= 2).mutate(squads_sd=ibis.greatest(component, 0.0).sqrt())
    cells = quartiles.drop("centre").join(told.select(*by, "squads_sd", "people", "squads", "most_of_one"), by)
    return kept(cells).order_by(by)


def flags(weeks: Rows) -> Rows:
    """Return how often the flag stood before weeks with a hamstring injury, and before weeks without, by rule.

    Rules: the flag in force, and an injury of the last twelve months known, which is what it has to beat. Weeks count
    where the flag could be asked. Share = weeks flagged / weeks. Where coaches act on flags an injury prevented looks
    like a false flag: it says what went together, not what caused what.
    """
    counted = weeks.filter(_.outcome.isin(["hit", "false_flag", "missed", "quiet"])).mutate(
        is_injured=_.outcome.isin(["hit", "missed"])
    )
    rules = [
        counted.select("squad", "person", "is_injured", rule=ibis.literal(rule), stood=counted[column])
        for rule, column in (("flag_in_force", "flagged"), ("history_alone", "history_flagged"))
    ]
    by_squad = (
        ibis.union(*rules, distinct=False)
        .group_by("rule", "is_injured", "squad")
        .aggregate(weeks=_.count(), stood=_.stood.cast("int64").sum(), n=_.person.nunique())
    )
    cells = by_squad.group_by("rule", "is_injured").aggregate(
        value=_.stood.sum().cast("float64") / _.weeks.sum(), weeks=_.weeks.sum(), **_sizes()
    )
    return kept(cells).order_by("rule", "is_injured")


def improvement(runs: Rows) -> Rows:
    """Return quartiles of how the 10 m time changes in a year, by age band and kind of start.

    A person's change is the least-squares slope of the week's mean time over weeks, times 52.18: s a year, below 0 is
    faster. It holds that person's measurement noise, so the quartiles lie wider than people differ. Null rule: read
    only from at least ten weeks with runs that span half a year.
    """
    weekly = recent(runs).group_by("squad", "person", "age_from", *SERIES, "week_no").aggregate(time=_.t_10_s.mean())
    centred = weekly.group_by("squad", "person", "age_from", *SERIES).aggregate(
        n=_.count(), week_mean=_.week_no.mean(), time_mean=_.time.mean(), span=_.week_no.max() - _.week_no.min()
    )
    by_person = ["squad", "person", "age_from", *SERIES]
    enough = centred.filter((_.n >= LEAST_WEEKS) & (_.span >= LEAST_SPAN_WEEKS) & _.age_from.notnull())
    slopes = (
        weekly.join(enough, by_person)
        .group_by(by_person)
        .aggregate(
            cross=((_.week_no - _.week_mean) * (_.time - _.time_mean)).sum(),
            square=((_.week_no - _.week_mean) ** 2).sum(),
        )
        .mutate(slope=_.cross / _.square * 52.18)
    )
    by = ["age_from", *SERIES]
    quartiles = slopes.group_by(by).aggregate(
        low=_.slope.quantile(0.25), value=_.slope.quantile(0.5), high=_.slope.quantile(0.75)
    )
    squads = slopes.group_by(*by, "squad").aggregate(n=_.person.nunique()).group_by(by).aggregate(**_sizes())
    return kept(quartiles.join(squads, by)).order_by(by)


def _sizes() -> dict[str, Value]:
    """Return how many people and squads are in a cell, and how many of the largest squad, from rows of a squad each."""
    return {"people": _.n.sum(), "squads": _.squad.nunique(), "most_of_one": _.n.max()}


QUESTIONS: dict[str, tuple[str, Callable[[Rows], Rows]]] = {
    "typical_error": ("shared_run", typical_error),
    "norm": ("shared_run", norms),
    "flags": ("shared_flag_week", flags),
    "improvement": ("shared_run", improvement),
}


def ask(tables: Mapping[str, Rows], fetch: Callable[[Rows], pa.Table]) -> Answers:
    """Return the answer to every question as rows, from tables of one engine.

    Args:
        tables: The shared tables.
        fetch: Computes an expression.
    """
    return {name: fetch(question(tables[table])).to_pylist() for name, (table, question) in QUESTIONS.items()}


def on_duckdb(lake: Lake) -> Answers:
    """Return the answers, computed here by DuckDB over the versions in force; nothing of a lake that holds no rows."""
    connection = ibis.duckdb.connect()
    files = {name: lake.files(name) for name in SHARED}
    if not all(files.values()):
        return {name: [] for name in QUESTIONS}
    tables = {
        name: connection.read_parquet(paths, table_name=name, hive_partitioning=True, hive_types_autocast=False)
        for name, paths in files.items()
    }
    return ask(tables, connection.to_pyarrow)
