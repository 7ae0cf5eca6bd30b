"""What costs every process of the tests processor and proves nothing: compiling anew, and waiting by spinning.

Compiled modules are kept between runs where the environment forbids them beside their sources, as containers often do
(``PYTHONDONTWRITEBYTECODE``). Without this, every process these tests start would compile each module and package anew.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

BEGUN_AT = time.time()  # nothing of the project is imported yet
COMPILED = "compiled"  # beside the kept demos
THREADS_OF_PRODUCTS = "OPENBLAS_NUM_THREADS"
THREADS_OF_FRAMES = "POLARS_MAX_THREADS"


def shelf() -> Path:
    """Return the folder in which tests keep what is dear to make, made where it is not there, open to this user alone.

    Raises:
        PermissionError: Somebody else made it.
    """
    folder = Path(tempfile.gettempdir()) / f"thirdstep-tests-{os.getuid() if hasattr(os, 'getuid') else 'kept'}"
    folder.mkdir(mode=0o700, exist_ok=True)
    if hasattr(os, "getuid") and (folder.is_symlink() or folder.lstat().st_uid != os.getuid()):
        raise PermissionError(f"'{folder}' belongs to somebody else: take it away, or set TMPDIR to another folder")
    return folder


def spare_waiting() -> None:
    """Let this process and those it starts reckon a product of matrices in one thread.

    A second one waits for the next product by spinning: a fifth of a derivation's processor, with matrices as small as
    ours. What other machines do is tried where it is asked for (``tests/demo/deriving.py``).

    So for this process alone with frames, where several share the cores: its tests make thousands of small ones, and to
    hand each to a second thread takes a tenth of the processor. What it starts takes as many threads as anywhere.
    """
    os.environ.setdefault(THREADS_OF_PRODUCTS, "1")
    if "PYTEST_XDIST_WORKER" in os.environ and THREADS_OF_FRAMES not in os.environ:
        os.environ[THREADS_OF_FRAMES] = "1"
        import polars as pl

        pl.thread_pool_size()  # from here on there are as many as were asked for
        del os.environ[THREADS_OF_FRAMES]


def keep_compiled() -> None:
    """Let this process and those it starts keep them in the tests' folder, where they may not stand elsewhere."""
    if sys.dont_write_bytecode and sys.pycache_prefix is None:
        sys.dont_write_bytecode, sys.pycache_prefix = False, str(shelf() / COMPILED)
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
