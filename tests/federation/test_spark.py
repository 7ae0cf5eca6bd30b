"""Real Spark, its workers in processes of their own: the same tables as in this process, whatever dies on the way."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polars as pl
import pytest

pytest.importorskip("pyspark", reason="needs the extra: uv run --extra federation pytest")
pytest.importorskip("ibis", reason="needs the extra: uv run --extra federation pytest")
pytest.importorskip("deltalake", reason="needs the extra: uv run --extra federation pytest")

from pipelines.errors import ThirdstepError
from pipelines.federation import extra

try:
    extra.need_java()
except ThirdstepError as missing:
    pytest.skip(missing.message, allow_module_level=True)

from pipelines.federation import running, spark
from pipelines.federation.export import export, read_export, squad_of
from pipelines.federation.lake import Lake
from pipelines.federation.task import Told, Wish, derive_frames, kept_path
from schemas.shared import SHARED
from schemas.tolerance import are_alike
from tests.federation.conftest import SQUADS, homes_of

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[spark.Engine]:
    with spark.Engine(log=tmp_path_factory.mktemp("spark") / "spark.log") as made:
        yield made


def dying_once(folder: str) -> Any:
    """Return a task that, the first time it comes to each of two squads, tears a file of theirs and dies."""

    def do(wish: str) -> str:
        import json
        import os
        from pathlib import Path

        from pipelines.federation.task import do_one

        told = json.loads(wish)
        mark = Path(folder) / told["squad"]
        if told["squad"] in ("coldmere", "gorsebank") and not mark.exists():
            mark.write_text("died")
            torn = Path(told["home"]) / "federation" / "shared" / "shared_run.parquet"
            torn.parent.mkdir(parents=True, exist_ok=True)
            torn.write_bytes(b"torn")
            os._exit(137)
        return do_one(wish)

    return do


def test_no_table_differs_from_this_process_although_two_workers_die(
    engine: spark.Engine, squads_once: Path, tmp_path: Path
):
    federation = shutil.copytree(squads_once, tmp_path / "federation")
    died = tmp_path / "died"
    died.mkdir()
    homes = homes_of(federation)
    for home in homes:
        export(home)
    wishes = [Wish(squad_of(home), str(home.root), keeps=True).to_json() for home in homes]
    told = [Told(**json.loads(one)) for one in spark.derive(engine.spark, wishes, do=dying_once(str(died)))]
    assert sorted(path.name for path in died.iterdir()) == ["coldmere", "gorsebank"]
    assert not [one.trouble for one in told if one.trouble]
    differ, tables = [], 0
    for home in homes:
        made, record = read_export(home.federation / "export")
        for name, frame in derive_frames(home, record, made.as_of).items():
            tables += 1
            if not are_alike(frame, pl.read_parquet(kept_path(home, name), hive_partitioning=False)):
                differ.append((made.squad, name))
    assert differ == []
    assert tables == SQUADS * len(told[0].derived)
    for home in homes:  # nothing of the torn file is left
        for name in SHARED:
            pl.read_parquet(home.federation / "shared" / f"{name}.parquet", hive_partitioning=False)


def test_a_run_on_spark_shares_what_a_run_here_shares_and_answers_alike(
    engine: spark.Engine, run_once: Path, squads_once: Path, tmp_path: Path
):
    federation = shutil.copytree(squads_once, tmp_path / "federation")
    seen: list[tuple[int, int]] = []
    report = running.run(
        homes_of(federation), federation, engine, tell=lambda done, total, _: seen.append((done, total))
    )
    assert not report.left_out
    assert report.compared
    assert report.worst_difference is not None
    assert report.worst_difference <= 1e-12
    assert (SQUADS, SQUADS) in seen
    people = ["squad", "week_no", "day_no", "run_no", "t_10_s"]  # pseudonyms are of each home's own secret
    here, there = (Lake(one / "lake").read("shared_run") for one in (run_once, federation))
    assert here.select(people).sort(people).equals(there.select(people).sort(people))
    answers = json.dumps(report.answers, sort_keys=True)
    assert '"typical_error": [{' in answers


def test_a_task_that_fails_on_every_worker_is_said_in_a_sentence(engine: spark.Engine):
    def fails(_: str) -> str:
        raise RuntimeError("no such luck")

    with pytest.raises(ThirdstepError, match=r"failed on every worker.*Nothing was published"):
        spark.derive(engine.spark, ["{}"], do=fails)
