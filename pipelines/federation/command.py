"""What the command line asks of a federation: first of all for the libraries of the extra, and for Java."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pipelines.federation.extra import need_extra, need_java
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.telling import Tell, tell_nothing

if TYPE_CHECKING:
    from pipelines.federation.running import Report


def run(
    homes: Sequence[Home],
    folder: Path,
    *,
    master: str | None,
    again: bool = False,
    tell: Tell = tell_nothing,
    stage: Say = say_nothing,
) -> "Report":
    """Derive squads, publish what they share, ask, and write the reference tables.

    Args:
        homes: The squads' homes.
        folder: Where lake and reference tables lie.
        master: The Spark cluster; "" for two workers on this machine; null for this process alone.
        again: Write this quarter's reference tables once more.
        tell: Is told how far it is.
        stage: Is told what comes next.
    """
    need_extra()
    from pipelines.federation import running

    if master is None:
        return running.run(homes, folder, running.Here(), again=again, tell=tell, stage=stage)
    need_java()
    from pipelines.federation.spark import SEPARATE_WORKERS, Engine

    with Engine(master or SEPARATE_WORKERS, folder / "spark.log") as engine:
        return running.run(homes, folder, engine, again=again, tell=tell, stage=stage)


def build_demo(folder: Path, squads: int, *, with_spark: bool, tell: Tell = tell_nothing) -> list[Home]:
    """Fill the homes of so many invented squads; those that are there stay."""
    need_extra()
    if with_spark:  # said before anything is built
        need_java()
    from pipelines.federation import demo

    return demo.build(folder, squads, tell)
