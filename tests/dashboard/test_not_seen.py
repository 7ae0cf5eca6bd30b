"""What the sheet could not look at is said in one calm line, and not at all where there is nothing of the kind."""

from dashboard.screens.week.rows import say_not_seen


def one(file: str, *, problem: str = "", holding: int = 0, columns: tuple[str, ...] = ()) -> dict[str, object]:
    return {"file": file, "problem": problem, "holding": holding, "columns": list(columns)}


def test_all_entered_and_all_read_says_nothing():
    assert say_not_seen([], []) == ""


def test_never_entered_not_read_waiting_and_not_understood_are_told_apart():
    said = say_not_seen(
        ["injuries", "a plan"],
        [one("injuries.xlsx", problem="no header"), one("plan.xlsx", holding=2), one("form.csv", columns=("a", "b"))],
    )
    assert said == (
        "injuries and a plan (never entered); injuries.xlsx (not read); rows of plan.xlsx that wait for an answer; "
        "two columns that are not understood"
    )


def test_many_files_are_counted_and_no_wall():
    files = [one(f"{n}.xlsx", problem="no header") for n in range(6)]
    assert say_not_seen([], files) == "0.xlsx, 1.xlsx and four more files (not read)"
