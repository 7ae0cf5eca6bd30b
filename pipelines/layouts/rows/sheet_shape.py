"""How a plain table is laid out, and the same as a block of a reading: the one can be made of the other."""

import dataclasses
from dataclasses import dataclass, field

from pipelines.layouts.rows.wide import Numbered
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.match import Match
from schemas.intake import TextTable, fingerprint
from schemas.reading import NOT_USED, Block, Fact, Use
from schemas.shape import table_shape


@dataclass(frozen=True)
class SheetShape:
    """How a plain table is laid out: its shape, which heading names which column, and what else its columns are."""

    shape: str  # own, measures, runs, gates, numbered, tests, long
    match: Match
    gates: list[Heading] = field(default_factory=list)
    runs: dict[int, list[Heading]] = field(default_factory=dict)
    distance: Heading | None = None  # of runs whose columns do not say it
    beside: dict[int, dict[str, Heading]] = field(default_factory=dict)  # run -> what stands there once for each run
    numbered: Numbered = field(default_factory=dict)
    numbered_table: str = ""
    named_by: Heading | None = None  # the column that names the measure of a row
    steps: dict[int, Heading] = field(default_factory=dict)
    tests: list[Heading] = field(default_factory=list)
    phrased: dict[str, Heading] = field(default_factory=dict)
    zero: list[Heading] = field(default_factory=list)  # gates at 0 m: there the clock starts
    others: list[Heading] = field(default_factory=list)  # measures that no table has, kept as they are
    group: Heading | None = None  # names the group that a row is for


def as_block(  # noqa: PLR0912 - one for each role of a column
    sheet: SheetShape, table: TextTable, facts: dict[str, Fact], why: dict[int, str]
) -> Block:
    """Return how a table is laid out as a block of a reading."""
    uses: dict[int, Use] = {}

    def use(heading: Heading | None, table_name: str, column: str, role: str = "value") -> None:
        if heading is None or heading.place in uses:
            return
        uses[heading.place] = Use(
            heading.place, heading.text, table_name, column, heading.unit, heading.is_exact, heading.scale, role,
            heading.gate_m, heading.from_m, heading.number, heading.run_no, _at(heading), why.get(heading.place, ""),
        )  # fmt: skip

    match = sheet.match
    use(match.first_name, match.main, "athlete_id", "first_name")
    use(match.last_name, match.main, "athlete_id", "last_name")
    use(match.name_particle, match.main, "athlete_id", "name_particle")
    for number, columns in sheet.numbered.items():
        for column, heading in columns.items():
            use(dataclasses.replace(heading, number=number), sheet.numbered_table or "step", column, "number")
    meant: dict[tuple[int, str], list[str]] = {}
    for (name, column), heading in match.columns.items():
        meant.setdefault((heading.place, name), []).append(column)
    for (name, _), heading in match.columns.items():
        use(heading, name, "+".join(meant[heading.place, name]))  # several where one number is of both sides
    for heading in sheet.gates:
        use(heading, "split", "elapsed_s", "gate")
    for run, some in sheet.runs.items():
        for heading in some:
            use(dataclasses.replace(heading, run_no=run), "split", "elapsed_s", "run")
    for run, columns in sheet.beside.items():
        for column, heading in columns.items():
            use(dataclasses.replace(heading, run_no=run), "rep", column, "beside")
    use(sheet.named_by, "step", "measure", "measure")
    for number, heading in sheet.steps.items():
        use(dataclasses.replace(heading, number=number), "step", "measure", "step")
    for heading in sheet.tests:
        use(heading, "force_test" if heading.names[0] == "peak_force_n" else "jump_test", heading.names[0], "test")
    spoken: dict[int, list[str]] = {}
    for column, heading in sheet.phrased.items():
        spoken.setdefault(heading.place, []).append(column)
    for heading in sheet.phrased.values():
        use(heading, "rep", "+".join(spoken[heading.place]), "phrase")
    for heading in sheet.zero:
        use(heading, "rep", "clock_start", "zero")
    for heading in sheet.others:
        use(heading, "other_measure", "value", "other")
    use(sheet.group, "athlete", "event_group", "group")
    for place, text in enumerate(table.header):
        if text and place not in uses:
            uses[place] = Use(place, text, "", NOT_USED, why=why.get(place, ""))
    lines = table.rows["_line"]
    return Block(
        shape=sheet.shape,
        table=match.main,
        header_lines=(table.header_line,),
        first_line=int(lines[0]) if len(lines) else 0,
        last_line=int(lines[-1]) if len(lines) else 0,
        columns=(table.first_column, table.first_column + max(len(table.header), 1) - 1),
        uses=tuple(uses[place] for place in sorted(uses)),
        facts=facts,
        filled_down=table.filled_down,
        signature=fingerprint(table.header),
        turned=table.turned,
    )


def _at(heading: Heading) -> dict[str, str]:
    return {**dict(heading.at), **({"fly": "yes"} if heading.is_fly else {})}


def from_block(block: Block) -> SheetShape:  # noqa: PLR0912 - one for each role of a column
    """Return how a block of a reading is laid out."""
    match = Match(block.table, given=frozenset(block.facts))
    sheet = SheetShape(block.shape, match)
    distance = None
    named_by = None
    group = None
    for use in block.uses:
        heading = Heading(
            use.place, use.header, (use.column,), use.unit, use.unit_is_certain, use.gate_m, use.from_m,
            number=use.number, run_no=use.run_no, at=tuple(use.at.items()), scale=use.scale,
        )  # fmt: skip
        if not use.table:
            match.ignored.append(heading)
        elif use.role == "first_name":
            match.first_name = heading
        elif use.role == "last_name":
            match.last_name = heading
        elif use.role == "name_particle":
            match.name_particle = heading
        elif use.role == "gate":
            sheet.gates.append(heading)
        elif use.role == "run":
            sheet.runs.setdefault(use.run_no or 1, []).append(
                dataclasses.replace(heading, is_fly=use.at.get("fly") == "yes")
            )
        elif use.role == "number":
            sheet.numbered.setdefault(use.number or 0, {})[use.column] = heading
        elif use.role == "beside":
            sheet.beside.setdefault(use.run_no or 1, {})[use.column] = heading
        elif use.role == "measure":
            named_by = heading
        elif use.role == "step":
            sheet.steps[use.number or 0] = heading
        elif use.role == "test":
            sheet.tests.append(heading)
        elif use.role == "phrase":
            sheet.phrased.update(dict.fromkeys(use.column.split("+"), heading))
        elif use.role == "zero":
            sheet.zero.append(heading)
        elif use.role == "other":
            sheet.others.append(heading)
        elif use.role == "group":
            group = heading
        else:
            for column in use.column.split("+"):
                match.columns[use.table, column] = dataclasses.replace(heading, names=(column,))
    has_gates = any(heading.gate_m is not None for some in sheet.runs.values() for heading in some)
    if block.shape == "runs" and not has_gates:
        distance = match.columns.get(("rep", "distance_m"))
    numbered_table = next((use.table for use in block.uses if use.role == "number"), "")
    if block.shape == "numbered" and sheet.numbered and match.main != "rep":
        for column, heading in next(iter(sheet.numbered.values())).items():  # the first of them stands for all
            if column in table_shape(match.main).columns:
                match.columns.setdefault((match.main, column), heading)
    return dataclasses.replace(sheet, distance=distance, named_by=named_by, numbered_table=numbered_table, group=group)
