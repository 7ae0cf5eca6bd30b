"""The demo squad: invented people, simulated from known truth.

``FILES`` holds the small untidy files the simulator wrote, ``TRUTH`` what they were simulated from. Everything in both
is invented. ``python -m seed_data`` writes them again, byte for byte.
"""

from datetime import date
from pathlib import Path
from typing import Any

FILES = Path(__file__).parent / "files"
TRUTH = Path(__file__).parent / "truth"

# The demo is frozen at its last Sunday, so that its screens say the same on every day they are opened.
DEMO_SETTINGS: dict[str, Any] = {"squad_name": "Saltmarsh Speed Group", "as_of": date(2026, 11, 22)}
