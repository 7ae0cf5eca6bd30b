"""The engine: squads spread over the workers of a Spark cluster. The only module that imports it.

What is distributed is squads' homes by name: a task reads its own home, derives and shares it (``task``), and answers
with a line of text. Rows of a record never pass through the engine. What a worker that dies was doing is done
again by Spark, up to four times; a squad that cannot be done says so and is not.
"""

import os
import sys
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import ibis
import pyarrow as pa
from pyspark.errors import PySparkException
from pyspark.sql import SparkSession

from pipelines.errors import ThirdstepError
from pipelines.federation.extra import need_java
from pipelines.federation.lake import Lake
from pipelines.federation.questions import QUESTIONS, Answers, ask
from pipelines.federation.task import do_one
from pipelines.home.telling import Tell, tell_nothing
from schemas.shared import SHARED

# Two workers in processes of their own, a core and 1 GB each: what a machine with two cores bears; own choice.
SEPARATE_WORKERS = "local-cluster[2,1,1024]"
ONE_THREAD = {
    "POLARS_MAX_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
}  # cores are Spark's to give
LOOK_S = 0.3
# On one machine Java's best compiler takes more than it gives: the work is Python's.
QUICK_JAVA = "-XX:TieredStopAtLevel=1 -XX:+UseSerialGC"
warnings.filterwarnings("ignore", category=FutureWarning, module="pyspark")  # of pandas, which is not used here


class Engine:
    """Spark, started when it is first needed: a run with nothing new needs none."""

    name = "Spark"

    def __init__(self, master: str = SEPARATE_WORKERS, log: Path | None = None) -> None:
        self.master, self.log = master, log
        self._open = ExitStack()
        self._spark: SparkSession | None = None

    def __enter__(self) -> "Engine":
        return self

    def __exit__(self, *trouble: object) -> None:
        self._open.close()

    @property
    def spark(self) -> SparkSession:
        """The session."""
        if self._spark is None:
            self._spark = self._open.enter_context(session(self.master, self.log))
        return self._spark

    def derive(self, wishes: Sequence[str], tell: Tell) -> list[str]:
        """Return what the tasks say."""
        return derive(self.spark, wishes, tell)

    def answers(self, lake: Lake) -> Answers:
        """Return the answers to all questions, as Spark computes them."""
        return on_spark(self.spark, lake)


@contextmanager
def session(master: str = SEPARATE_WORKERS, log: Path | None = None) -> Iterator[SparkSession]:
    """Have a Spark session while the block runs.

    Args:
        master: ``local-cluster[...]``, or the address of a cluster that is there (``spark://HOST:7077``, ``yarn``). Its
            machines must have this version of thirdstep with the extra, and reach homes and lake by the same paths.
        log: A file for what Spark itself says; else it goes to the error stream.

    Raises:
        ThirdstepError: There is no Java, or Spark does not start.
    """
    need_java()
    os.environ.setdefault("PYSPARK_PYTHON", sys.executable)
    words = {
        **{f"spark.executorEnv.{name}": value for name, value in ONE_THREAD.items()},
        "spark.executorEnv.PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
        "spark.executorEnv.PYTHONWARNINGS": "ignore", "spark.ui.enabled": "false", "spark.log.level": "ERROR",
        "spark.driver.memory": "1g", "spark.sql.shuffle.partitions": "2", "spark.sql.session.timeZone": "UTC",
        "spark.ui.showConsoleProgress": "false",
    }  # fmt: skip
    if master.startswith("local"):
        os.environ.setdefault("SPARK_LOCAL_IP", "127.0.0.1")
        words |= {"spark.driver.host": "127.0.0.1", "spark.executor.memory": "768m"}
        words |= {f"spark.{side}.extraJavaOptions": QUICK_JAVA for side in ("driver", "executor")}
    builder = SparkSession.builder.master(master).appName("thirdstep federation")
    for name, value in words.items():
        builder = builder.config(name, value)
    try:
        with _saying_to(log):
            spark = builder.getOrCreate()
    except (PySparkException, RuntimeError) as trouble:
        raise ThirdstepError(f"Spark did not start at '{master}': {_first_line(trouble)}") from trouble
    spark.sparkContext.setLogLevel("FATAL")
    try:
        yield spark
    finally:
        spark.stop()


@contextmanager
def _saying_to(log: Path | None) -> Iterator[None]:
    """Let programs that are started in the block write to a file what goes to the error stream, for all their life."""
    if log is None:
        yield
        return
    log.parent.mkdir(parents=True, exist_ok=True)
    sys.stderr.flush()
    own = os.dup(2)
    try:
        with log.open("ab") as file:
            os.dup2(file.fileno(), 2)
        yield
    finally:
        os.dup2(own, 2)
        os.close(own)


def derive(
    spark: SparkSession, wishes: Sequence[str], tell: Tell = tell_nothing, do: Callable[[str], str] = do_one
) -> list[str]:
    """Return what the tasks say, one squad a task.

    Raises:
        ThirdstepError: A task failed four times.
    """
    rows = spark.sparkContext.parallelize([(one,) for one in wishes], len(wishes))
    work = spark.createDataFrame(rows, "wish string")

    def run(batches: Iterator[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
        for batch in batches:
            for wish in batch.column("wish").to_pylist():
                yield pa.RecordBatch.from_pydict({"told": [do(wish)]})

    answer = work.mapInArrow(run, "told string")
    with _progress(spark, len(wishes), tell):
        try:
            return [row.told for row in answer.collect()]
        except PySparkException as trouble:
            raise ThirdstepError(
                f"A task failed on every worker it was given to: {_first_line(trouble)} Nothing was published."
            ) from trouble


def on_spark(spark: SparkSession, lake: Lake) -> Answers:
    """Return the answers of the same expressions, computed by Spark over the versions in force."""
    connection = ibis.pyspark.connect(spark)
    files = {name: lake.files(name) for name in SHARED}
    if not all(files.values()):
        return {name: [] for name in QUESTIONS}
    for name, paths in files.items():
        spark.read.option("basePath", str(lake.root / name)).parquet(*paths).createOrReplaceTempView(name)
    tables = {name: connection.table(name) for name in files}
    return ask(tables, lambda rows: spark.sql(str(connection.compile(rows))).toArrow())


@contextmanager
def _progress(spark: SparkSession, total: int, tell: Tell) -> Iterator[None]:
    """Tell how many tasks are done while the block waits for them."""
    ended = threading.Event()

    def look() -> None:
        tracker = spark.sparkContext.statusTracker()
        most = 0
        while not ended.wait(LOOK_S):
            for stage in tracker.getActiveStageIds():
                info: Any = tracker.getStageInfo(stage)
                if info is not None and info.numTasks == total:
                    most = max(most, info.numCompletedTasks)
            tell(most, total, "squads")

    tell(0, total, "squads")
    watcher = threading.Thread(target=look, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        ended.set()
        watcher.join(timeout=5)
        tell(total, total, "")


def _first_line(trouble: Exception) -> str:
    lines = [line for line in str(trouble).strip().splitlines() if line.strip()]
    return (lines[0] if lines else type(trouble).__name__)[:300]
