"""How many examples a property is tried on: an eighth in the everyday run, all of them in ``.ci/run``."""

from typing import Any

from hypothesis import settings

ALL = 100  # examples of a property that asks for no number of its own, in full
QUICK = 12
FEWEST = 2


def register_profiles() -> None:
    """Make the two profiles known and put the quick one in force; ``--hypothesis-profile=full`` takes the other."""
    settings.register_profile("full", max_examples=ALL, deadline=None)  # no deadline: a busy machine is no fault
    settings.register_profile("quick", max_examples=QUICK, deadline=None)
    settings.load_profile("quick")


def examples(in_full: int, **more: Any) -> settings:
    """Return the settings of a property tried on so many examples in full, and on its share of them otherwise."""
    share = settings.get_current_profile_name() == "full"
    wanted = in_full if share else max(FEWEST, round(in_full * QUICK / ALL))
    return settings(max_examples=wanted, deadline=None, **more)
