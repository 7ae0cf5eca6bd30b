"""Who reads a home on Windows, and whether its disk is encrypted, from what the systems print.

The answers are written after the documentation of icacls, of access lists as text and of mountinfo, from memory; no
Windows machine was at hand.
"""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from pipelines.errors import ThirdstepError
from pipelines.home import machine, permissions, windows

ME, OTHER = "S-1-5-21-11-22-33-1001", "S-1-5-21-11-22-33-1002"
CLOSED = f"D:PAI(A;OICI;FA;;;{ME})(A;OICI;FA;;;SY)"
OF_PROFILE = f"D:(A;OICIID;FA;;;SY)(A;OICIID;FA;;;BA)(A;OICIID;FA;;;{ME})"
OPEN_TO_USERS = "D:AI(A;OICIID;FA;;;SY)(A;OICIIOID;GA;;;CO)(A;OICIID;0x1200a9;;;BU)(A;ID;FA;;;BA)"


class System:
    """A Windows that answers as it is told, and what was asked of it."""

    def __init__(self, text: str | None, *, closes: bool = True):
        self.text, self.closes, self.asked = text, closes, []

    def __call__(self, command: Sequence[str]) -> bytes | None:
        self.asked.append(list(command))
        if command[0] == "whoami":
            return f'"desk\\coach","{ME}"\r\n'.encode()
        if self.text is None:
            return None
        if "/save" in command:
            Path(command[-1]).write_bytes(f"home\r\n{self.text}\r\n".encode("utf-16-le"))
        elif "/inheritance:r" in command:
            if not self.closes:
                return None
            self.text = CLOSED
        return b""


@pytest.mark.parametrize(
    ("text", "others"),
    [
        (CLOSED, []),
        (OF_PROFILE, []),
        (OPEN_TO_USERS, ["BU"]),
        (CLOSED + f"(A;;0x1200a9;;;{OTHER})", [OTHER]),
        (f"D:PAI(D;OICI;FA;;;BG)(A;OICI;FA;;;{ME})", []),  # denied is not let in
        ("D:PAI(A;OICI;FA;;;WD)", ["WD"]),
        ("D:", []),
        ("O:BAG:SY", None),
    ],
)
def test_an_access_list_says_who_else_is_let_in(text: str, others: list[str] | None):
    assert windows.allowed_others(text, ME) == others
    if others is not None:
        assert windows.other_readers(Path("home"), System(text)) == others


def test_a_system_that_does_not_answer_is_not_taken_for_a_closed_door():
    assert windows.other_readers(Path("home"), System(None)) is None
    assert windows.other_readers(Path("home"), lambda _: None) is None
    assert windows.ask(["no-such-command-at-all"]) is None


ASKING = {name: getattr(windows, name) for name in ("other_readers", "close")}


@pytest.fixture
def on_windows(monkeypatch: pytest.MonkeyPatch):
    def tell(system: System) -> System:
        monkeypatch.setattr(permissions, "IS_WINDOWS", True)
        monkeypatch.setattr(permissions, "IS_CHECKED", False)
        for name, function in ASKING.items():
            monkeypatch.setattr(windows, name, lambda root, f=function: f(root, system))
        return system

    return tell


def test_a_home_that_users_read_is_closed_and_one_with_other_things_refused(on_windows, tmp_path):
    system = on_windows(System(OPEN_TO_USERS))
    (tmp_path / "sources").mkdir()
    assert list(permissions.open_to_others(tmp_path)) == [f"'{tmp_path}'"]
    permissions.close_to_others(tmp_path)
    [closing] = [one for one in system.asked if "/inheritance:r" in one]
    assert closing[-2:] == [f"*{ME}:(OI)(CI)F", "*S-1-5-18:(OI)(CI)F"]
    assert list(permissions.open_to_others(tmp_path)) == []
    (tmp_path / "letters").mkdir()
    (tmp_path / "sources").rmdir()
    system.text = OPEN_TO_USERS
    with pytest.raises(ThirdstepError, match="holds other things"):
        permissions.close_to_others(tmp_path)


def test_a_list_that_cannot_be_changed_is_refused_and_one_that_cannot_be_asked_is_said(on_windows, tmp_path):
    on_windows(System(OPEN_TO_USERS, closes=False))
    with pytest.raises(ThirdstepError, match="could not be changed"):
        permissions.close_to_others(tmp_path)
    on_windows(System(None))
    permissions.close_to_others(tmp_path)
    assert "could not be asked" in permissions.unchecked(tmp_path)


def test_connections_that_say_nothing_do_not_soon_take_every_place():
    # run apart, as a limit that was raised is not for this process
    code = (
        "import resource; from pipelines.home.machine import allow_many_files;"
        "most = resource.getrlimit(resource.RLIMIT_NOFILE)[1];"
        "resource.setrlimit(resource.RLIMIT_NOFILE, (256, most)); allow_many_files();"
        "now = resource.getrlimit(resource.RLIMIT_NOFILE); print(now[0] == min(most, 65536), now[1] == most)"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.split() == ["True", "True"]


# --- the disk -----------------------------------------------------------------------------------------------------


def mounted(folder: Path, *lines: tuple[str, str, str]) -> Path:
    told = folder / "mountinfo"
    said = [f"{n} 1 {device} / {place} rw shared:1 - {kind} /dev/x rw" for n, (device, place, kind) in enumerate(lines)]
    told.write_text("\n".join([*said, "a line of nothing"]), encoding="utf-8")
    return told


def device(blocks: Path, number: str, uuid: str = "", below: Sequence[str] = ()) -> None:
    (blocks / number / "slaves").mkdir(parents=True)
    if uuid:
        (blocks / number / "dm").mkdir()
        (blocks / number / "dm" / "uuid").write_text(uuid, encoding="utf-8")
    for one in below:
        (blocks / number / "slaves" / one).symlink_to(blocks / one)


def test_a_disk_is_encrypted_where_a_device_below_the_mount_is(tmp_path):
    blocks = tmp_path / "block"
    device(blocks, "8:2")
    device(blocks, "254:0", "CRYPT-LUKS2-0123-root", ["8:2"])
    device(blocks, "254:1", "LVM-abc", ["254:0"])
    device(blocks, "254:2", "LVM-def", ["8:2"])
    home = Path("/somewhere/home")
    for number, kind, expected in (
        ("254:0", "ext4", True), ("254:1", "ext4", True), ("254:2", "ext4", False), ("8:2", "ext4", False),
        ("0:44", "overlay", None), ("0:45", "ecryptfs", True),
    ):  # fmt: skip
        mounts = mounted(tmp_path, ("8:2", "/", "ext4"), (number, "/somewhere", kind), ("254:0", "/else", "ext4"))
        assert machine.is_disk_encrypted(home, mounts, blocks) is expected
    assert machine.is_disk_encrypted(home, tmp_path / "none", blocks) is None
