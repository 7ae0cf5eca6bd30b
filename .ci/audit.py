"""Ask pip-audit for known vulnerabilities of the packages in use; fail for one in what is shipped, unless named here.

Without the network nothing can be asked: that is said, and fails nothing, since it says nothing of our packages.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

# Number of a vulnerability -> why it does not concern us, and until when that was looked at.
ACCEPTED: dict[str, str] = {}
PIP_AUDIT = "pip-audit==2.10.1"
LONGEST_S = 240
UV = str(Path(sys.executable).parents[2] / ".venv-uv" / "bin" / "uv")


def listed(folder: Path, *more: str) -> Path:
    """Write the exact versions in use to a file: those shipped, or with --group dev the tools as well."""
    path = folder / f"packages{'-'.join(more)}.txt"
    command = [UV, "export", "-q", "--no-emit-project", "--no-hashes", "--no-annotate", "--all-extras"]
    command += [*more, "-o", str(path)]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return path


def names_in(path: Path) -> set[str]:
    """Return the names of a list of packages."""
    found = re.findall(r"^([A-Za-z0-9._-]+)==", path.read_text(encoding="utf-8"), flags=re.M)
    return {name.lower().replace("_", "-") for name in found}


def judge(report: dict, shipped: set[str]) -> tuple[list[str], bool]:
    """Return what to say, a line each, and whether something that is shipped is vulnerable and not accepted."""
    lines, fails = [], False
    packages = report.get("dependencies", [])
    asked = [one for one in packages if "skip_reason" not in one]
    for one in asked:
        is_shipped = one["name"].lower().replace("_", "-") in shipped
        for fault in one.get("vulns", []):
            ids = {fault["id"], *fault.get("aliases", [])}
            reason = next((ACCEPTED[i] for i in ids if i in ACCEPTED), "")
            bad = is_shipped and not reason
            fails |= bad
            state = "FAILS" if bad else f"accepted: {reason}" if reason else "a tool of ours, not shipped"
            mended = ", ".join(fault.get("fix_versions", [])) or "no version yet"
            lines.append(f"audit: {one['name']} {one['version']}: {fault['id']} ({state}; mended in {mended})")
    if len(asked) < len(packages) or not packages:
        lines.append(f"audit: {len(asked)} of {len(packages)} packages could be asked about; the rest NOT AUDITED")
    else:
        lines.append(f"audit: {len(asked)} packages, none with a known vulnerability" if not lines else "audit: done")
    return lines, fails


def main() -> int:
    """Run the audit."""
    folder = Path(".artifacts")
    folder.mkdir(exist_ok=True)
    shipped = names_in(listed(folder, "--no-dev"))
    command = [UV, "tool", "run", "-q", PIP_AUDIT, "-r", str(listed(folder)), "--no-deps", "--disable-pip",
               "--format", "json", "--progress-spinner", "off", "--timeout", "15"]  # fmt: skip
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=LONGEST_S, check=False)
        report = json.loads(done.stdout)
    except (subprocess.TimeoutExpired, json.JSONDecodeError):
        print("audit: NOT DONE, the list of known vulnerabilities could not be reached")
        return 0
    lines, fails = judge(report, shipped)
    print("\n".join(lines))
    return int(fails)


if __name__ == "__main__":
    raise SystemExit(main())
