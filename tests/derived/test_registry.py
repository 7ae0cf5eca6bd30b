"""Every derived table has its function, and what is the squad's is said a second time on purpose."""

from pipelines.derived.registry import OF_THE_SQUAD, WITH_THE_SQUAD, derivations
from schemas.derived.registry import DERIVED
from schemas.knowledge import all_sources


def test_every_derived_table_has_a_function_of_its_name_and_no_function_is_of_no_table():
    assert set(derivations()) == set(DERIVED)
    assert all(function.__name__ == name for name, function in derivations().items())


def test_the_tables_of_the_squad_are_these():
    # a table left out would be derived athlete by athlete, from rows that are not all there
    assert set(OF_THE_SQUAD) == {
        "strength_state", "spring_state", "sprint_noise", "start_noise", "start_shift", "squad_trend",
        "readiness_noise", "attention_rate", "attention_budget", "flag_backtest", "group_spread", "group_load",
        "group_test_calendar", "completeness_week", "squad_week", "never_entered",
    }  # fmt: skip
    assert set(WITH_THE_SQUAD) == {*OF_THE_SQUAD, "flag_backtest_week"}


def test_every_source_of_a_proposed_work_is_among_the_knowledge():
    from pipelines.derived.start.focus_words import WORKS

    assert {one.source for one in WORKS.values()} <= set(all_sources())
