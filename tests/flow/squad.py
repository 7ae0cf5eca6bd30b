"""Files with the record's own column names, for a squad of two."""

from pathlib import Path

ROSTER = "athlete_id,display_name\nada-reed,Ada Reed\nbo-lind,Bo Lind\n"
SESSIONS = (
    "athlete_id,session_date,session_no,kind,duration_min,effort_0_10\n"
    "ada-reed,2025-11-03,1,acceleration,80,6\n"
    "bo-lind,2025-11-03,1,tempo,60,4\n"
)
SPLITS = (
    "athlete_id,session_date,session_no,rep_no,distance_m,elapsed_s\n"
    "ada-reed,2025-11-03,1,1,10,1.80\n"
    "ada-reed,2025-11-03,1,1,20,2.95\n"
    "ada-reed,2025-11-03,1,1,30,4.00\n"
)
FILES = {"sessions.csv": SESSIONS, "roster.csv": ROSTER, "splits.csv": SPLITS}


def write(folder: Path, **files: str) -> list[Path]:
    """Write files (name without .csv) into a folder and return their paths in the order given."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"{name}.csv" for name in files]
    for path, text in zip(paths, files.values(), strict=True):
        path.write_text(text, encoding="utf-8", newline="")
    return paths


def write_squad(folder: Path) -> Path:
    """Write the squad's three files into a folder and return it."""
    write(folder, **{name.removesuffix(".csv"): text for name, text in FILES.items()})
    return folder
