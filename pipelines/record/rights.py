"""What a source may say, by who brings it: rows that are not theirs to write are set aside, nothing of them kept.

Every way into the record comes by here once its rows are checked. Who brought a load is logged with it, so that a
replay lets the same rows in.
"""

import dataclasses
from collections.abc import Iterable

import polars as pl

from pipelines.checks import Checked
from pipelines.checks.faults import SET_ASIDE_SCHEMA
from pipelines.errors import ThirdstepError
from pipelines.record import outsiders, warehouse
from pipelines.record.history import listed, quoted
from pipelines.record.outsiders import NOTHING_KEPT
from schemas import rights as policy
from schemas.age import is_minor
from schemas.intake import LayoutOptions
from schemas.rights import Writer

_PLACE = ["source_sheet", "source_line"]
NOT_THEIRS = "This load is somebody else’s, or holds rows that are not yours to change. The head coach can do it."
_LEFT_OUT = "nothing of the row is kept"


def as_writer(by: str | Writer) -> Writer:
    """Return who writes: a bare name is that of who holds the files of this machine."""
    return by if isinstance(by, Writer) else Writer(by)


def only_of_writer(con: warehouse.Connection, checked: Checked, options: LayoutOptions, kind: str) -> Checked:
    """Return what was checked without the rows that its writer may not bring, and with names as they may be shown."""
    checked = outsiders.only_of_groups(con, checked, options.for_groups)  # as loads of before were logged
    writer = policy.writer_of(options.writer)
    if writer is None:
        return checked
    if writer.role == "staff":
        checked = outsiders.without_outsiders(checked, _groups(con), writer.event_groups)
    if not writer.writes_all:
        checked = _without_refused(con, checked, writer, kind)
    return _with_names(con, checked, writer, kind)


def names_shown(con: warehouse.Connection, options: LayoutOptions) -> frozenset[str] | None:
    """Return whose names may be told to the writer: of those they look after, or their own; null: everybody's."""
    writer = policy.writer_of(options.writer)
    if writer is None or writer.writes_all:
        return None
    if writer.role == "staff":
        return frozenset(one for one, group in _groups(con).items() if group in writer.event_groups)
    return frozenset(filter(None, [writer.athlete_id]))


def _groups(con: warehouse.Connection) -> dict[str, str | None]:
    return dict(con.sql("select athlete_id, event_group from athlete").fetchall())


def _without_refused(con: warehouse.Connection, checked: Checked, writer: Writer, kind: str) -> Checked:
    refused: list[tuple[pl.DataFrame, str, str]] = []  # rows, column, reason
    for table, frame in checked.accepted.items():
        if not policy.may_write(writer, table):
            rows = frame
            if writer.role == "staff" and table in policy.MAY_COME_AGAIN:
                rows = _saying_something_new(con, table, frame)
            refused.append((rows, table, policy.why_not(writer, table)))
        elif writer.role in policy.NOT_TO_GIVE:
            rows = frame if kind != "entry" else frame.filter(pl.col("athlete_id").ne_missing(writer.athlete_id))
            refused.append((rows, table, policy.why_not(writer, "")))
            refused += _beyond_own_columns(frame, table)
            if table == "consent":
                refused.append((_not_to_give(con, frame, writer), table, f"{policy.NOT_TO_GIVE[writer.role]}."))
        else:
            refused += _refused_cells(con, table, frame, writer)
    return _set_aside(checked, [one for one in refused if one[0].height])


def _not_to_give(con: warehouse.Connection, frame: pl.DataFrame, writer: Writer) -> pl.DataFrame:
    """Return rows on consent that are not the writer's on their day: a minor's own, or a guardian's of who is of age.

    The day is that of withdrawing, else of giving. Who has no birth date on record counts as of age, as elsewhere.
    """
    born = dict(con.sql("select athlete_id, birth_date from athlete").fetchall())
    given = pl.col("given_on")
    day = pl.coalesce("withdrawn_on", given) if "withdrawn_on" in frame.columns else given
    minor = [is_minor(born.get(who), on) for who, on in frame.select("athlete_id", day).iter_rows()]
    return frame.filter(pl.Series(minor, dtype=pl.Boolean) != (writer.role == "guardian"))


def _beyond_own_columns(frame: pl.DataFrame, table: str) -> Iterable[tuple[pl.DataFrame, str, str]]:
    """Yield rows of an athlete's that say something in a column that is the coach's to say."""
    own = policy.COLUMNS_OF_ATHLETE.get(table, tuple(frame.columns))
    for column in frame.columns:
        if column not in own and column not in _PLACE:
            why = f"'{column}' is your coach’s to say, so {_LEFT_OUT}. Leave the column out."
            yield frame.filter(pl.col(column).is_not_null()), column, why


def _refused_cells(
    con: warehouse.Connection, table: str, frame: pl.DataFrame, writer: Writer
) -> Iterable[tuple[pl.DataFrame, str, str]]:
    """Yield rows of a table of the writer's that say something in a column that is not, or in another's name."""
    for column in () if writer.reads_injuries else policy.COLUMNS_WITH_GRANT.get(table, ()):
        if column in frame.columns:
            why = f"'{column}' is written by who may read it, so {_LEFT_OUT}. Leave the column out."
            yield frame.filter(pl.col(column).is_not_null()), column, why
    for column, why in policy.CELLS_OF_HEAD_COACH.get(table, {}).items():
        if column in frame.columns:
            yield frame.filter(pl.col(column).is_not_null()), column, f"{why}, so {_LEFT_OUT}. Leave the column out."
    name = policy.NAMES.get(table)
    if name is None:
        return
    if name in frame.columns:
        own = pl.col(name).str.strip_chars().str.to_lowercase() == writer.name.strip().lower()
        why = (
            f"'{name}' names somebody else than {writer.name}, who brings the row, so {_LEFT_OUT}. "
            "Put your own name, or leave the column out."
        )
        yield frame.filter(~own.fill_null(True)), name, why
    if table in policy.SIGNATURES:
        before = _now(con, table, [name]).filter(pl.col(name).is_not_null())
        signed = _saying_something_new(con, table, frame).join(before, on=_key(table), how="inner", suffix="_before")
        standing = pl.col(f"{name}_before" if name in frame.columns else name)
        why = f"Somebody else has signed this row, so {_LEFT_OUT}. The head coach can load the file."
        others = signed.filter(standing.str.to_lowercase() != writer.name.strip().lower())
        yield others.select(frame.columns) if name in frame.columns else others.drop(name), name, why
    if table in policy.FIRST_WRITER:
        others = _of_others(con, table, frame, writer)
        why = f"Somebody else wrote this down first, so {_LEFT_OUT}. Give yours another name, or ask the head coach."
        yield others, name, why


def _of_others(con: warehouse.Connection, table: str, frame: pl.DataFrame, writer: Writer) -> pl.DataFrame:
    """Return the rows that would change what stands in somebody else's name, or in nobody's."""
    key, name = _key(table), policy.NAMES[table]
    new = _saying_something_new(con, table, frame.drop(name, strict=False)).select(_PLACE).unique()
    before = _now(con, table, [name])
    theirs = before.filter(pl.col(name).str.to_lowercase().ne_missing(writer.name.strip().lower())).select(key)
    return frame.join(new, on=_PLACE, how="semi", nulls_equal=True).join(theirs, on=key, how="semi")


def _saying_something_new(con: warehouse.Connection, table: str, frame: pl.DataFrame) -> pl.DataFrame:
    """Return the rows that are not in the record, or say something that differs from what stands there."""
    key = _key(table)
    values = [name for name in frame.columns if name in warehouse.SHAPES[table].values]
    if not values:
        return frame.join(_now(con, table, []), on=key, how="anti")
    known = _now(con, table, values).with_columns(_is_there=pl.lit(True))
    beside = frame.join(known, on=key, how="left", suffix="_before", maintain_order="left")
    differs = pl.any_horizontal(
        pl.col(name).is_not_null() & pl.col(name).ne_missing(pl.col(f"{name}_before")) for name in values
    )
    return beside.filter(differs | pl.col("_is_there").is_null()).select(frame.columns)


def _key(table: str) -> list[str]:
    return list(warehouse.SHAPES[table].key)


def _now(con: warehouse.Connection, table: str, values: list[str]) -> pl.DataFrame:
    return con.sql(f"select {listed([*_key(table), *values])} from {quoted(table)}").pl()


def _set_aside(checked: Checked, refused: list[tuple[pl.DataFrame, str, str]]) -> Checked:
    """Set source rows aside whole, with the reason alone: the values are not the writer's to put into the record."""
    if not refused:
        return checked
    made = []
    for rows, column, why in refused:
        whose = pl.col("athlete_id") if "athlete_id" in rows.columns else pl.lit(None, pl.String)
        made.append(
            rows.select(
                *_PLACE, column=pl.lit(column), value=pl.lit(None, pl.String), reason=pl.lit(why),
                row_json=pl.lit(NOTHING_KEPT), athlete_id=whose,
            ).cast(SET_ASIDE_SCHEMA)  # type: ignore[arg-type]
        )  # fmt: skip
    aside = pl.concat(made).unique([*_PLACE, "column"], keep="first", maintain_order=True)
    places = aside.select(_PLACE).unique()
    kept = {name: frame.join(places, on=_PLACE, how="anti", nulls_equal=True, maintain_order="left")
            for name, frame in checked.accepted.items()}  # fmt: skip
    return dataclasses.replace(
        checked,
        accepted={name: frame for name, frame in kept.items() if frame.height},
        set_aside=pl.concat([checked.set_aside, aside.sort(_PLACE, maintain_order=True)]),
    )


def _with_names(con: warehouse.Connection, checked: Checked, writer: Writer, kind: str) -> Checked:
    """Let names of others read as claimed, and a changed row not stay in the name of who said something else."""
    changed = {}
    for table, name in policy.NAMES.items():
        frame = checked.accepted.get(table)
        if frame is None:
            continue
        if name not in frame.columns:
            frame = frame.with_columns(pl.lit(None, pl.String).alias(name))
        if table not in policy.SIGNATURES:
            frame = _in_own_name(con, table, name, frame, writer, kind)
        others = [one for one in frame[name].drop_nulls().unique() if not policy.is_name_of(writer, one)]
        shown = {one: policy.claimed(one, writer) for one in others}
        changed[table] = frame.with_columns(pl.col(name).replace(shown))
    return dataclasses.replace(checked, accepted={**checked.accepted, **changed}) if changed else checked


def _in_own_name(
    con: warehouse.Connection, table: str, name: str, frame: pl.DataFrame, writer: Writer, kind: str
) -> pl.DataFrame:
    """Name the writer where a row without a name would change what stands in somebody's name, or is typed or staff's.

    An empty cell never erases what another file said: without this, new words would stand under the old name.
    """
    new = _saying_something_new(con, table, frame.drop(name)).select(_PLACE).with_columns(_is_new=pl.lit(True))
    held = _now(con, table, [name]).filter(pl.col(name).is_not_null()).select(_key(table)).with_columns(_is_held=True)
    signed_in = writer.role != "machine"
    is_theirs = pl.lit(signed_in and (kind == "entry" or writer.role == "staff"))
    wanted = pl.lit(writer.name if signed_in else f"not said, loaded by {writer.name}")
    beside = frame.join(new.unique(), on=_PLACE, how="left", nulls_equal=True, maintain_order="left")
    beside = beside.join(held, on=_key(table), how="left", maintain_order="left")
    is_needed = pl.col(name).is_null() & (
        is_theirs | (pl.col("_is_held").fill_null(False) & pl.col("_is_new").fill_null(False))
    )
    return beside.with_columns(pl.when(is_needed).then(wanted).otherwise(name).alias(name)).select(frame.columns)


def refuse_undo(con: warehouse.Connection, load_no: int, what: str, writer: Writer) -> None:
    """Refuse to take a load out of force, or to put it back, to who may not write what it holds.

    Raises:
        ThirdstepError: It is not theirs.
    """
    if writer.writes_all:
        return
    found = con.sql(
        "select source_name, kind, tables, loaded_by, undone_by from load where load_no = $no", params={"no": load_no}
    ).pl()
    if found.is_empty():
        return  # that there is none is said where it is looked for
    load = found.row(0, named=True)
    tables = load["tables"].split(", ") if load["tables"] else []
    refusal = ThirdstepError(NOT_THEIRS)
    if load["loaded_by"] != writer.name or (what == "redo" and load["undone_by"] != writer.name):
        raise refusal
    if writer.role in policy.NOT_TO_GIVE and load["kind"] != "entry":
        raise refusal
    groups = _groups(con)
    for table in tables:
        if not policy.may_write(writer, table) and table not in policy.MAY_COME_AGAIN:
            raise refusal
        for athlete_id in _athletes_of(con, table, load_no):
            is_own = athlete_id == writer.athlete_id if writer.role in policy.NOT_TO_GIVE else (
                groups.get(athlete_id) in writer.event_groups
            )  # fmt: skip
            if not is_own:
                raise refusal


def _athletes_of(con: warehouse.Connection, table: str, load_no: int) -> list[str]:
    if "athlete_id" not in warehouse.SHAPES[table].columns:
        return []
    query = f"select distinct athlete_id from {quoted('version_' + table)} where load_no = $no"
    return [row[0] for row in con.sql(query, params={"no": load_no}).fetchall()]
