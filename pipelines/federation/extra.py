"""What is said where the extra, or Java, is not there."""

import importlib.util
import os
import re
import shutil
import subprocess
from pathlib import Path

from pipelines.errors import ThirdstepError

NEEDED = ("deltalake", "ibis", "pyspark")
LEAST_JAVA = 17
INSTALL = "uv run --extra federation thirdstep federation ..."


def need_extra() -> None:
    """Ask for the libraries of the extra.

    Raises:
        ThirdstepError: One is not installed.
    """
    missing = [name for name in NEEDED if importlib.util.find_spec(name) is None]
    if missing:
        raise ThirdstepError(
            f"A federation needs libraries that are not installed ({', '.join(missing)}). "
            f"Run it with its extra: {INSTALL}"
        )


def need_java() -> None:
    """Ask for a Java that Spark runs on.

    Raises:
        ThirdstepError: There is none, or it is too old.
    """
    way_out = (
        f"Install Java {LEAST_JAVA} or newer (Debian: apt-get install default-jre-headless), or say with JAVA_HOME "
        "where it is; with --here everything runs in this process, without Spark."
    )
    home = os.environ.get("JAVA_HOME")
    command = str(Path(home) / "bin" / "java") if home else shutil.which("java")
    if command is None or not Path(command).exists():
        raise ThirdstepError(f"There is no Java on this machine, and Spark runs on it. {way_out}")
    said = subprocess.run([command, "-version"], capture_output=True, text=True, check=False)
    found = re.search(r'version "(?:1\.)?(\d+)', said.stderr + said.stdout)
    if said.returncode or found is None:
        raise ThirdstepError(f"'{command}' does not say which Java it is. {way_out}")
    if int(found[1]) < LEAST_JAVA:
        raise ThirdstepError(f"'{command}' is Java {found[1]}, and Spark needs {LEAST_JAVA} or newer. {way_out}")
