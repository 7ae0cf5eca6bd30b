"""The recipes of DEVELOPERS.md, followed to the letter on a copy of the code: what they say is enough, is enough."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.recipes.copies import Copy, must_be_named


@pytest.fixture
def copy(tmp_path: Path) -> Iterator[Copy]:
    made = Copy(tmp_path)
    yield made
    made.clear()


THROW = '''

class ThrowTest(RecordTable):
    """One row per throw of a medicine ball."""

    athlete_id: str = athlete_key()
    thrown_on: pl.Date = column("Day of the throw.", source="test", example="2026-11-04", label="Date")
    trial_no: int = column("Which trial, from 1.", source="test", ge=1, le=20, example="1", label="Trial")
    ball_kg: float = column("Mass of the ball.", unit="kg", source="test", ge=0.5, le=10, example="3", label="Ball")
    throw_m: float = column("Distance.", unit="m", source="test", ge=1, le=30, example="11.4", label="Throw")

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "thrown_on", "trial_no"], "parents": ["athlete"], "title": "Throws"}
'''


def test_a_record_table_takes_files_typed_rows_and_rights_by_its_recipe_alone(copy: Copy):
    copy.add("schemas/records/gym.py", THROW)
    copy.put("schemas/records/__init__.py", "from schemas.records.gym import ", "ThrowTest, ")
    copy.put(
        "schemas/records/__init__.py", "RECORDS: dict[str, type[RecordTable]] = {", '\n    "throw_test": ThrowTest,'
    )
    copy.put("schemas/labels.py", "RECORD_TITLES = {", '\n    "throw_test": "throws",')
    copy.put("schemas/rights.py", "OF_STAFF = frozenset({", '\n    "throw_test",')
    copy.add("pipelines/layouts/words.toml", 'ball_kg = ["ball", "ball mass"]\nthrow_m = ["throw", "thrown"]\n')
    must_be_named(copy, "How to add a record table")
    told = copy.run(
        """
        import datetime as dt
        from pathlib import Path
        from pipelines import flow
        from schemas.rights import Writer

        home = flow.find_home(Path("home"))
        flow.load_bytes(home, "squad.csv", b"athlete,group\\nIsa Brandt,short sprints\\n", "coach", derive_after=False)
        text = b"Athlete;Date;Trial;Ball (kg);Throw (cm)\\nIsa Brandt;4.11.2025;1;3;1140\\n"
        text += b"Isa Brandt;4.11.2025;2;3;99000\\n"
        outcome = flow.load_bytes(home, "throws.csv", text, "coach", derive_after=False)
        print(outcome.stored, outcome.set_aside, [one["column"] for one in outcome.reasons])
        who = flow.table(home, "athlete")["athlete_id"][0]
        row = {"athlete_id": who, "thrown_on": dt.date(2025, 11, 5), "trial_no": 1, "ball_kg": 3.0, "throw_m": 11.6}
        staff = Writer("mo", "staff", event_groups=("short_sprints",))
        print(flow.enter(home, "throw_test", [row], staff, derive_after=False).stored)
        print(flow.table(home, "throw_test")["throw_m"].to_list())
        flow.undo(home, 2, "coach", derive_after=False)
        print(flow.table(home, "throw_test").height)
        """
    )
    assert told.splitlines() == ["1 1 ['Throw (cm)']", "1", "[11.4, 11.6]", "1"]


REST_DAYS = '''
"""Days of rest, counted."""

import polars as pl

from schemas.base import DerivedTable, column


class RestDays(DerivedTable):
    """One row per athlete: days that are known to be days of rest."""

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    rest_days: int = column("Days known to be of rest.", unit="days", source="definition", ge=0, label="Rest days")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id"]}
'''
COUNT_REST = '''
"""Days of rest."""

import polars as pl


def rest_days(load_day: pl.DataFrame) -> pl.DataFrame:
    """One row per athlete: rest_days = number of days whose load is known to be 0.

    Source: definition. Null: none; an unknown day is no day of rest.
    """
    rest = (pl.col("load_au") == 0).fill_null(value=False).sum().cast(pl.Int64)
    return load_day.group_by("athlete_id", maintain_order=True).agg(rest_days=rest)
'''


def test_a_measure_is_computed_and_held_against_its_model_by_its_recipe_alone(copy: Copy):
    copy.add("schemas/derived/rest.py", REST_DAYS)
    copy.put(
        "schemas/derived/registry.py", "from schemas.base import Table\n", "from schemas.derived.rest import RestDays\n"
    )
    copy.put("schemas/derived/registry.py", "DERIVED: dict[str, type[Table]] = {", '\n    "rest_days": RestDays,')
    copy.add("pipelines/derived/load/rest.py", COUNT_REST)
    place = "    functions: tuple[Derivation, ...] = ("
    copy.put("pipelines/derived/registry.py", "from pipelines.derived.load.amounts import load_day, load_week\n",
             "    from pipelines.derived.load.rest import rest_days\n")  # fmt: skip
    copy.put("pipelines/derived/registry.py", place, "\n        rest_days,")
    must_be_named(copy, "How to add a measure")
    told = copy.run(
        """
        import datetime as dt
        from pathlib import Path
        from pipelines import flow
        from pipelines.board import derivation
        from pipelines.derived.registry import derivations
        from pipelines.record import opening, warehouse
        from schemas.derived.registry import derived_models
        from schemas.settings import SquadSettings

        home = flow.find_home(Path("home"))
        flow.load_bytes(home, "squad.csv", b"athlete_id,display_name\\nisa,Isa\\n", "coach", derive_after=False)
        days = b"athlete_id,logged_on,is_complete\\nisa,2026-03-02,true\\nisa,2026-03-04,true\\n"
        flow.load_bytes(home, "days.csv", days, "coach", derive_after=False)
        with opening.record(home) as con:
            records = warehouse.record_frames(con)
        functions = {name: derivations()[name] for name in ("load_day", "rest_days")}
        models = {name: derived_models()[name] for name in functions}
        found = derivation.derive_all(records, SquadSettings(), dt.date(2026, 3, 5), functions=functions, models=models)
        print(found.frames["rest_days"].rows())
        """
    )
    assert told == "[('isa', 2)]"


APPETITE = """
    Item(
        "appetite", "five", "Appetite", "Appetite", "How is your appetite?", "none", "very good", said="appetite",
        unusual="appetite lower than usual for this athlete", adapt="less_volume", names="good",
    ),"""


def test_a_readiness_item_is_asked_read_judged_and_answered_to_by_its_recipe_alone(copy: Copy):
    copy.put("schemas/checkin.py", "ITEMS: tuple[Item, ...] = (", APPETITE)
    copy.put(
        "schemas/records/wellness.py", 'mood: float = rated("mood")\n', '    appetite: float = rated("appetite")\n'
    )
    copy.add("pipelines/layouts/words.toml", 'appetite = ["appetite", "how is your appetite", "hunger"]\n')
    must_be_named(copy, "How to add a readiness item")
    told = copy.run(
        """
        import datetime as dt
        from pathlib import Path
        from dashboard import wording
        from dashboard.screens.check_in.form import form
        from pipelines import flow
        from pipelines.derived.readiness.checkin_answers import checkin_answer
        from pipelines.derived.week.advice_words import ADAPT_BY
        from schemas.knowledge.readiness import READINESS_RULE
        from schemas.settings import SquadSettings

        home = flow.find_home(Path("home"))
        flow.load_bytes(home, "squad.csv", b"athlete,group\\nIsa Brandt,short sprints\\n", "coach", derive_after=False)
        days = [dt.date(2026, 1, 5) + dt.timedelta(days=n) for n in range(40)]
        rows = [f"Isa Brandt,{day},{4 if n < 39 else 1}" for n, day in enumerate(days)]
        text = "athlete,date,Hunger (1-5; 5 = great)\\n" + "\\n".join(rows)
        print(flow.load_bytes(home, "mornings.csv", text.encode(), "coach", derive_after=False).stored)
        answers = checkin_answer(flow.table(home, "checkin"), settings=SquadSettings(), as_of=days[-1])
        print(answers.filter(item="appetite", speaks=True)["checked_on"].to_list() == [days[-1]])
        print("How is your appetite?" in form({}, "", "", is_change=False, may_take_back=False))
        print(wording.STRIP_ITEMS["appetite"], [r.pushes_to for r in READINESS_RULE if r.item == "appetite"])
        print(ADAPT_BY["appetite"])
        """
    )
    assert told.splitlines() == ["40", "True", "True", "Appetite ['adapt']", "less_volume"]


SHORT_NIGHT = '''


def list_short_nights(days: pl.DataFrame, answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """List the reasons of a night under the hours of the setting, whatever is usual."""
    nights = answers.filter((pl.col("item") == "sleep_h") & (pl.col("value") < settings.short_night_h)).join(
        days.select("athlete_id", "day_on", checked_on="fresh_on"), on=["athlete_id", "checked_on"], how="inner"
    )
    return _shape(
        nights, item=pl.lit("short_night"), sentence=phrase("slept only {} h", say_number(pl.col("value"))),
        value=pl.col("value"), evidence_table=pl.lit("checkin"), evidence_on=pl.col("checked_on"),
        since_on=pl.col("checked_on"),
    )
'''


def test_a_rule_makes_a_reason_that_can_be_set_by_its_recipe_alone(copy: Copy):
    copy.put(
        "schemas/knowledge/readiness.py", "READINESS_RULE: tuple[ReadinessRule, ...] = (",
        '\n    ReadinessRule("short_night", "slept under {level} hours", "adapt", "common_practice", "short_night_h"),',
    )  # fmt: skip
    copy.put(
        "schemas/settings.py", "    # Own baseline\n",
        '    short_night_h: float = number(4.0, "hours under which a night is short", unit="h", low=0, high=8,'
        " bears_on=CALL)\n",
    )  # fmt: skip
    copy.add("pipelines/derived/readiness/reason_rows.py", SHORT_NIGHT)
    call = "pipelines/derived/readiness/call.py"
    copy.put(call, "    list_load_reasons,\n", "    list_short_nights,\n")
    copy.put(
        call, "list_load_reasons(days, load_week, settings),", " list_short_nights(days, checkin_answer, settings),"
    )
    copy.put("pipelines/derived/week/advice_words.py", "ADAPT_BY: dict[str, str] = {",
             '\n    "short_night": "less_intensity",')  # fmt: skip
    must_be_named(copy, "How to add a rule")
    told = copy.run(
        """
        import datetime as dt
        from pathlib import Path
        from pipelines import flow
        from pipelines.board import derivation
        from pipelines.derived.registry import derivations
        from pipelines.record import opening, warehouse
        from schemas.derived.registry import derived_models

        home = flow.find_home(Path("home"))
        flow.load_bytes(home, "squad.csv", b"athlete_id,display_name\\nisa,Isa\\n", "coach", derive_after=False)
        nights = b"athlete_id,checked_on,sleep_h\\nisa,2026-03-04,3.5\\n"
        flow.load_bytes(home, "nights.csv", nights, "coach", derive_after=False)
        with opening.record(home) as con:
            records = warehouse.record_frames(con)
        names = ("load_day", "load_week", "spring_state", "checkin_answer", "readiness_reason", "readiness_day")
        functions = {name: derivations()[name] for name in names}
        models = {name: derived_models()[name] for name in functions}

        def call() -> list:
            day = dt.date(2026, 3, 4)
            found = derivation.derive_all(records, flow.settings(home), day, functions=functions, models=models)
            last = found.frames["readiness_day"].filter(day_on=day)
            return [last["call"].item(), last["strongest"].item()]

        print(call())
        flow.change_rule(home, "short_night_h", 3.0, "coach", "an early start", derive_after=False)
        print(call())
        """
    )
    assert told.splitlines() == ["['adapt', 'slept only 3.5 h']", "['cannot_say', None]"]


def test_a_setting_is_in_the_file_and_among_the_rules_by_its_recipe_alone(copy: Copy):
    copy.put(
        "schemas/settings.py", "    # Own baseline\n",
        '    most_throws: int = number(40, "throws a day are many", unit="throws", low=1, high=200, bears_on=CALL)\n',
    )  # fmt: skip
    must_be_named(copy, "How to add a setting")
    told = copy.run(
        """
        from pathlib import Path
        from pipelines import flow
        from schemas.settings import in_force

        home = flow.find_home(Path("home"))
        Path("home").mkdir()
        print(flow.settings(home).most_throws)
        flow.change_rule(home, "most_throws", 30, "coach", "a long winter", derive_after=False)
        print(flow.settings(home).most_throws, flow.rule_history(home)["name"].to_list())
        print(in_force("No more than ``settings.most_throws``.", flow.settings(home)))
        try:
            flow.change_rule(home, "most_throws", 900, "coach", "", derive_after=False)
        except flow.ThirdstepError as wrong:
            print(wrong)
        """
    )
    assert told.splitlines()[0] == "40"
    assert told.splitlines()[1] == "30 ['most_throws']"
    assert "30" in told.splitlines()[2]
    assert "1 to 200" in told.splitlines()[3]


def test_a_source_layout_reads_new_header_words_by_its_recipe_alone(copy: Copy):
    copy.put("pipelines/layouts/words.toml", "mood = [", '"how is life", ')
    must_be_named(copy, "How to add a source layout")
    told = copy.run(
        """
        from pathlib import Path
        from pipelines import flow

        home = flow.find_home(Path("home"))
        flow.load_bytes(home, "squad.csv", b"athlete,group\\nIsa Brandt,short sprints\\n", "coach", derive_after=False)
        text = b"athlete,date,How is life? (1-5; 5 = great)\\nIsa Brandt,2025-11-04,4\\n"
        print(flow.load_bytes(home, "mornings.csv", text, "coach", derive_after=False).stored)
        print(flow.table(home, "checkin")["mood"].to_list())
        """
    )
    assert told.splitlines() == ["1", "[4.0]"]


def test_a_page_is_offered_and_drawn_by_its_recipe_alone(copy: Copy):
    copy.add("dashboard/screens/throws/__init__.py", "")
    copy.add("dashboard/screens/throws/words.py", 'THROWS = "Throws"\n')
    copy.add(
        "dashboard/screens/throws/page.py",
        '''
        """Throws, for coach and staff."""

        from dashboard.parts import page
        from dashboard.parts.entrance import open_page
        from dashboard.screens.throws import words


        def draw() -> None:
            """Draw the page."""
            opened = open_page(words.THROWS, coach_only=True)
            if opened is not None:
                page.show(f"<h1>{words.THROWS}</h1>")


        draw()
        ''',
    )
    copy.put("dashboard/app.py", 'st.Page(SCREENS / "group/page.py", title="Groups", url_path="group"),',
             '\n        st.Page(SCREENS / "throws/page.py", title="Throws", url_path="throws"),')  # fmt: skip
    must_be_named(copy, "How to add a page")
    told = copy.run(
        """
        import os
        from dashboard.access import current
        from dashboard.access.viewer import Viewer
        from streamlit.testing.v1 import AppTest

        os.environ["THIRDSTEP_HOME"] = "nowhere"
        viewers = [Viewer("Head coach", "head_coach"), Viewer("Isa", "athlete", athlete_id="isa")]
        for viewer in viewers:
            current.viewer_from_header = lambda value: viewer
            at = AppTest.from_file(os.path.abspath("dashboard/app.py"), default_timeout=60)
            at.user["local_user"] = "invented"
            at.run()
            try:
                at.switch_page("screens/throws/page.py").run()
            except ValueError:
                print("none of their pages")
            else:
                print(len(at.exception), any(link.label == "Throws" for link in at.get("page_link")))
        """
    )
    assert told.splitlines() == ["0 True", "none of their pages"], told
