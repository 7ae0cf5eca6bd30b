"""Few rows are read without Arrow, and are the same."""

import subprocess
import sys
from types import SimpleNamespace

import duckdb

from pipelines.record import rows
from pipelines.record.rows import FEW, read_rows

KINDS = "null::varchar as a, 1::bigint as b, 0.5::double as c, true as d, date '2026-01-05' as e, "
KINDS += "timestamp '2026-01-05 08:30:00.5' as f, [1.5, null]::double[] as g"
QUERY = f"select {KINDS} union all select 'x', null, 'nan'::double, null, null, null, null"


def both_ways(monkeypatch, query: str):
    with duckdb.connect() as con:
        through_arrow = con.sql(query).pl()
        monkeypatch.setattr(rows, "sys", SimpleNamespace(modules={}))  # as if Arrow had not been imported yet
        return read_rows(con, query), through_arrow


def test_few_rows_of_every_kind_are_the_same_either_way(monkeypatch):
    few, through_arrow = both_ways(monkeypatch, QUERY)
    assert few.schema == through_arrow.schema
    assert few.equals(through_arrow)


def test_no_rows_and_many_rows_are_the_same_either_way(monkeypatch):
    for query in (f"select * from ({QUERY}) where false", f"select i as n from range({FEW + 5}) t(i)"):
        few, through_arrow = both_ways(monkeypatch, query)
        assert few.equals(through_arrow), query
        assert few.schema == through_arrow.schema


def test_a_command_that_only_looks_imports_nothing_that_computes():
    code = (
        "import sys, tempfile; from pipelines.cli.main import main\n"
        "main(['--home', tempfile.mkdtemp(), 'rejected'], standalone_mode=False)\n"
        "slow = {'pandas', 'pandera', 'scipy', 'numpy', 'pyarrow', 'pydantic', 'openpyxl', 'streamlit', 'rich'}\n"
        "assert not slow & set(sys.modules), slow & set(sys.modules)\n"
        "import pipelines.entry.bringing\n"  # what a load of few rows needs
        "assert not {'pandas', 'pyarrow', 'scipy.special'} & set(sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-500:]


def test_a_product_of_matrices_takes_one_thread_and_that_is_said_before_the_first():
    code = (
        "import os, sys; os.environ.pop('OPENBLAS_NUM_THREADS', None); sys.argv = ['thirdstep', '--help']\n"
        "from pipelines.cli import __main__ as program\n"
        "assert 'numpy' not in sys.modules\n"
        "try: program.run()\n"
        "except SystemExit: pass\n"
        "assert os.environ['OPENBLAS_NUM_THREADS'] == '1'"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-500:]
