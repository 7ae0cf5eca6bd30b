"""Of whatever column of the record a column under an unknown heading is, that is on offer, and the answer is obeyed."""

import polars as pl
import pytest

from schemas.shape import table_shape
from tests.intake import take_in

# A small sheet of each table, without the column that is asked about; names and values invented.
WHO = [["2026-11-03", "Ana Berg"], ["2026-11-03", "Béa Lünd"], ["2026-11-10", "Ana Berg"]]
SHEETS = {
    "session": ("Kind,Minutes", ["gym,60", "sprint,70", "gym,50"]),
    "split": ("Run,Distance (m),Time (s)", ["1,30,4.31", "1,30,4.52", "2,30,4.29"]),
    "rep": ("Run,10 m,30 m", ["1,1.92,4.31", "1,1.98,4.52", "2,1.90,4.29"]),
    "step": ("Run,Step,Contact (ms)", ["1,1,190", "1,1,175", "1,2,160"]),
    "set_position": ("Run,Front shin set (deg)", ["1,50", "1,52", "2,51"]),
    "lift_set": ("Exercise,Reps,Load (kg)", ["Back squat,5,80", "Back squat,5,60", "Back squat,3,85"]),
    "jump_test": ("Test,Jump height (cm)", ["DJ,31", "DJ,28", "DJ,32"]),
    "checkin": ("Sleep (h),Mood (1-5; 5 = great)", ["7.5,4", "8,3", "7,5"]),
    "injury": ("Site,Side", ["hamstring,l", "calf,r", "knee,r"]),
    "race_result": ("Event,Time (s)", ["60 m,7.65", "60 m,7.81", "60 m,7.60"]),
    "plan": ("Kind,Planned min", ["gym,60", "acceleration,70", "gym,50"]),
    "body_measure": ("Body mass (kg)", ["58", "61", "58.4"]),
}
# What is in the sheets above, or told from the cells alone.
THERE = {"note", "start_kind", "clock_start", "timing_kind", "side", "pain_site", "race_outcome", "kind",
         "duration_min", "elapsed_s", "contact_s", "front_shin_set_deg", "reps", "load_kg", "jump_height_m", "sleep_h",
         "mood", "time_s", "body_mass_kg", "planned_min", "frame_rate_hz"}  # fmt: skip
OWN = {
    "surface": ["track", "grass", "track"], "footwear": ["spikes", "flats", "spikes"], "reaction_s": ["0.152", "0.171"],
    "mechanism": ["sprinting at full speed", "slipped on ice"], "returned_on": ["2026-11-15", "2026-11-17"],
    "air_pressure_torr": ["755", "760"], "box_height_m": ["0.3", "0.4"], "jump_length_m": ["2.41", "2.35"],
}  # fmt: skip


def values(table, column):
    shape = table_shape(table).columns[column]
    if column in OWN:
        return OWN[column]
    if shape.words:
        return [shape.words[0], shape.words[-1]]
    if shape.dtype == pl.Boolean:
        return ["yes", "no"]
    least = shape.least if shape.least is not None else 0.0
    most = shape.most if shape.most is not None else least + 10
    middle = [least + (most - least) * part for part in (0.3, 0.4)]
    return [str(round(one)) if shape.dtype == pl.Int64 else f"{one:.2f}" for one in middle]


def sheet(table, column):
    headings, cells = SHEETS[table]
    told = values(table, column)
    lines = [
        ",".join([*who, row, f'"{told[n % len(told)]}"']) for n, (who, row) in enumerate(zip(WHO, cells, strict=True))
    ]
    return "\n".join([f"Date,Athlete,{headings},Zork", *lines])


@pytest.mark.parametrize("table", list(SHEETS))
def test_the_true_meaning_of_a_column_is_on_offer_and_obeyed(table):
    name = {"injury": "injuries.csv", "plan": "plan.csv"}.get(table, "x.csv")
    wrong = []
    for column in table_shape(table).values:
        if column in THERE or column.endswith("_se"):
            continue
        text = sheet(table, column)
        [asked] = [one for one in take_in(text, name).questions if (one.ask, one.about) == ("columns", "Zork")]
        offered = [answer for answer, _ in (*asked.answers, *asked.more)]
        if f"{table}.{column}" not in offered:
            wrong.append(f"{column} is not on offer")
            continue
        checked = take_in(text, name, columns={"Zork": f"{table}.{column}"})
        frame = checked.accepted.get(table, pl.DataFrame())
        is_stored = column in frame.columns and frame[column].null_count() < frame.height
        is_scale_asked = any((one.ask, one.about) == ("scales", "Zork") for one in checked.questions)
        if not (is_stored or is_scale_asked):
            wrong.append(f"{column} is not obeyed")
    assert wrong == []


@pytest.mark.parametrize("column", ["call_name", "squad", "joined_on", "left_on"])
def test_what_a_roster_says_besides_is_on_offer_and_obeyed(column):
    told = {"call_name": ["Annie", "Bee", "Cle"], "squad": ["U20", "senior", "U20"]}
    cells = told.get(column, ["2025-09-01", "2024-09-01", "2025-09-01"])
    text = "\n".join(
        ["Name,Sex,Zork", f"Ana Berg,f,{cells[0]}", f"Bea Lund,f,{cells[1]}", f"Cleo Dahl-Frost,f,{cells[2]}"]
    )
    [asked] = [one for one in take_in(text, "x.csv").questions if one.ask == "columns"]
    assert f"athlete.{column}" in [answer for answer, _ in (*asked.answers, *asked.more)]
    checked = take_in(text, "x.csv", columns={"Zork": f"athlete.{column}"})
    assert checked.accepted["athlete"][column].null_count() == 0


@pytest.mark.parametrize("answer", ["force_test.peak_force_n", "jump_test.flight_s", "split.elapsed_s"])
def test_an_answer_that_leaves_the_test_or_the_distance_open_is_asked_on_and_ends_in_the_record(answer):
    cells = (
        ("310", "290")
        if answer.startswith("force")
        else ("4.31", "4.52")
        if answer.startswith("split")
        else ("0.5", "0.6")
    )
    text = f"Date,Athlete,Zork\n2026-11-03,Ana Berg,{cells[0]}\n2026-11-03,Béa Lünd,{cells[1]}\n"
    [asked] = [one for one in take_in(text, "x.csv", columns={"Zork": answer}).questions if one.ask == "columns"]
    assert "answer which column that is" in asked.sentence
    checked = take_in(text, "x.csv", columns={"Zork": asked.answers[0][0]})
    assert checked.accepted[answer.partition(".")[0]].height == 2


def test_further_meanings_stand_on_one_line_of_the_answers_file():
    from pipelines.intake.answers import as_toml

    text = "Date,Athlete,Zork\n2026-11-03,Ana Berg,31\n2026-11-03,Béa Lünd,33\n"
    [line] = [one for one in as_toml(take_in(text, "x.csv").questions).splitlines() if one.startswith("#   or ")]
    assert "step.shin_touchdown_deg" in line
