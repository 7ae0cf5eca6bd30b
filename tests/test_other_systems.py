"""Nothing in the code works on one operating system only: read from the source, as no other system is at hand."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# Lock, flush, or make a file that others cannot read from its first byte; they may ask which system it is.
LOCKING = {"pipelines/home/durable.py", "pipelines/home/folder.py", "pipelines/home/sealing.py"}
# Go without where the system has it not: each asks first.
ASKED_FIRST = {"pipelines/intake/apart.py", "pipelines/home/machine.py", "pipelines/home/permissions.py",
               "pipelines/home/turns.py"}  # fmt: skip
POSIX_CALLS = {
    "os.fork", "os.geteuid", "os.getuid", "os.getgid", "os.sync", "os.mkfifo", "os.symlink", "os.chown", "os.killpg",
    "os.setsid", "os.getpgid", "os.uname", "os.nice", "os.setpriority",
    "os.getpriority", "signal.SIGKILL", "signal.SIGHUP", "signal.SIGALRM",
    "signal.SIGUSR1", "signal.SIGUSR2", "signal.SIGQUIT", "signal.alarm", "time.tzset",
}  # fmt: skip
POSIX_MODULES = {"fcntl", "pwd", "grp", "resource", "termios", "pty", "tty", "syslog"}
TEXT_CALLS = {"open", "read_text", "write_text", "fdopen", "TextIOWrapper", "NamedTemporaryFile", "TemporaryFile"}
MODES = set("rwaxbt+")
# Formats that are read by the engines of tables and of charts, which bring their own on every system.
OWN_FORMATS = ("pipelines/derived/", "dashboard/charts/")


def modules() -> list[str]:
    rooms = ("schemas", "pipelines", "dashboard", "seed_data")
    return [path.relative_to(ROOT).as_posix() for room in rooms for path in sorted((ROOT / room).rglob("*.py"))]


def dotted(node: ast.AST) -> str:
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""


def _is_text_without_encoding(call: ast.Call) -> bool:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else dotted(call.func)
    if name not in TEXT_CALLS or dotted(call.func) in ("os.open", "webbrowser.open", "archive.open"):
        return False
    words = [a.value for a in [*call.args, *(k.value for k in call.keywords)] if isinstance(a, ast.Constant)]
    modes = [word for word in words if isinstance(word, str) and word and set(word) <= MODES]
    is_open = name not in ("read_text", "write_text")
    if is_open and (any("b" in mode for mode in modes) or (name.endswith("TemporaryFile") and not modes)):
        return False
    if name == "open" and isinstance(call.func, ast.Attribute) and not modes and call.args:
        return False  # a library's own open: Image.open(path), typst and the like
    return not any(keyword.arg in ("encoding", None) for keyword in call.keywords)


def faults(name: str, source: str) -> list[str]:
    """Return what in a module would not work, or work otherwise, on another system."""
    found = []
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            imported = [node.module or ""] if isinstance(node, ast.ImportFrom) else [one.name for one in node.names]
            found += [
                f"imports {one}" for one in imported if one in POSIX_MODULES and name not in LOCKING | ASKED_FIRST
            ]
        if isinstance(node, ast.Attribute) and name not in LOCKING | ASKED_FIRST:
            called = dotted(node)
            if called in POSIX_CALLS or called.startswith("os.O_"):
                found.append(f"line {node.lineno}: {called}")
        if isinstance(node, ast.Call):
            if any(k.arg == "shell" and getattr(k.value, "value", False) for k in node.keywords):
                found.append(f"line {node.lineno}: shell=True")
            if _is_text_without_encoding(node):
                found.append(f"line {node.lineno}: a text file without an encoding")
        is_text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if is_text and "%-" in node.value and not name.startswith(OWN_FORMATS):
            found.append(f"line {node.lineno}: '{node.value}'")
    return found


def test_every_module_works_on_every_system():
    found = {name: faults(name, (ROOT / name).read_text(encoding="utf-8")) for name in modules()}
    assert len(found) > 300
    assert {name: said for name, said in found.items() if said} == {}


@pytest.mark.parametrize(
    "line",
    [
        "f'{day:%-d %b}'", "day.strftime('%-d')", "import fcntl", "os.fork()", "os.open(p, os.O_RDONLY)", "open(p)",
        "path.read_text()", "path.write_text(words)", "path.open('a+')", "run(words, shell=True)",
        "os.kill(n, signal.SIGKILL)", "open(p, 'w')",
    ],
)  # fmt: skip
def test_what_works_on_one_system_only_is_found(line: str):
    assert faults("pipelines/anything.py", line) != []


@pytest.mark.parametrize(
    "line", ["open(p, 'rb')", "path.open('wb')", "path.read_text(encoding='utf-8')", "os.kill(n, signal.SIGTERM)"]
)
def test_what_works_on_every_system_is_let_through(line: str):
    assert faults("pipelines/anything.py", line) == []


def test_names_of_files_are_plain_letters():
    """Systems spell accents in names in two ways, and an archive made on one is not found again on the other."""
    rooms = ("schemas", "pipelines", "dashboard", "seed_data", "tests")
    paths = [path.relative_to(ROOT).as_posix() for room in rooms for path in (ROOT / room).rglob("*")]
    assert [path for path in paths if not path.isascii()] == []
