"""The table of what alarms cost and find says what the simulation found, each kind in its own columns."""

import pytest

from pipelines.derived.hindsight.attention import FAMILIES, PLANTED, REASONS, attention_budget, attention_rate
from schemas.derived.registry import DERIVED
from schemas.knowledge import clean_rates
from schemas.knowledge.attention import HAMSTRING
from schemas.settings import SquadSettings

SETTINGS = SquadSettings()
KINDS = {"family": set(FAMILIES), "reason": set(REASONS), "planted": set(PLANTED)}
RATES = {row[:2]: row[2:] for row in clean_rates.RATES}


def test_each_kind_holds_its_items_with_their_words():
    table = attention_rate(settings=SETTINGS)
    DERIVED["attention_rate"].as_pandera().validate(table)
    by_kind = {kind: set(table.filter(kind=kind)["item"]) for kind in KINDS}
    assert by_kind == KINDS
    words = FAMILIES | REASONS | PLANTED
    assert dict(table.select("item", "sentence").iter_rows()) == words


@pytest.mark.parametrize("row", attention_rate(settings=SETTINGS).to_dicts(), ids=lambda row: row["item"])
def test_each_row_says_what_the_simulation_found_with_and_without_the_budget(row):
    share, error, by_chance, late = RATES["budget", row["item"]]
    before, _, _, late_before = RATES["without_budget", row["item"]]
    told = (row["late_days"], row["late_days_without_budget"])
    assert told == (late, late_before)
    clean = (row["clean_of_24"], row["clean_error_of_24"], row["clean_of_24_without_budget"])
    found = (
        row["found_share"], row["missed_share"], row["found_by_chance_share"], row["found_share_without_budget"],
    )  # fmt: skip
    if row["kind"] == "planted":
        assert clean == (None, None, None)
        assert found == (share, pytest.approx(1 - share), by_chance, before)
    else:
        assert clean == (share, error, before)
        assert found == (None, None, None, None)


def test_of_the_budgets_the_one_in_force_is_the_highest_that_the_settings_allow():
    table = attention_budget(settings=SETTINGS)
    DERIVED["attention_budget"].as_pandera().validate(table)
    assert table.select(
        "budget_of_24", "clean_of_24", "strain_found_share", "drop_found_share", "growth_found_share"
    ).rows() == [tuple(map(float, row)) for row in clean_rates.COST]
    in_force = table.filter("is_in_force")["budget_of_24"].to_list()
    assert in_force == [max(line.of_24 for line in HAMSTRING if line.of_24 <= SETTINGS.attention_athletes)]
    lines = {line.of_24: (line.tightness_sum, line.force_p, line.metres_z) for line in HAMSTRING}
    for of, *from_where in table.select("budget_of_24", "tightness_sum", "force_p", "metres_z").iter_rows():
        assert tuple(from_where) == lines[of]
