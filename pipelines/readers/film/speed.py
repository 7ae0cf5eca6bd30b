"""How fast a film was really taken: what it says of itself, what has to be asked, and when it is refused."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

FAST_HZ = 100.0  # Hz; a film played so fast was taken so fast, slow motion is played at 24 to 60 (common practice)
ODD_SHARE = 0.02  # of the gaps that may be odd (frames the camera dropped) before it counts as two speeds; own choice
ODD_FEWEST = 6
USUAL_HZ = (30.0, 60.0, 120.0, 240.0)
LEAST_HZ, MOST_HZ = 24.0, 2000.0


@dataclass(frozen=True)
class Speed:
    """What is known of the rate a film was taken at."""

    state: str  # 'known', 'confirm', 'ask' or 'refused'
    capture_hz: float | None
    known_by: str | None  # 'camera', 'confirmed' or 'asked'
    container_hz: float
    offers: tuple[float, ...] = ()

    @property
    def factor(self) -> float | None:
        """What presentation times are multiplied by: container rate / capture rate; null while it is not known."""
        return self.container_hz / self.capture_hz if self.capture_hz else None


def find_speed(film: Mapping[str, Any], capture_hz: float | None, known_by: str | None) -> Speed:
    """Say how fast a film was taken.

    Two speeds in one film (edits at another rate, or gaps between frames more than 2.5 times off the usual one in 2 %
    and at least six places) are refused: a time over their border means nothing. What the camera wrote holds. A film
    played at 100 Hz and more was taken so, which is confirmed once; a slower one may be slow motion, so it is always
    asked.

    Source: common practice.
    """
    container = float(film.get("container_rate_hz") or 0.0)
    odd, gaps = int(film.get("odd_gaps") or 0), int(film.get("gaps") or 0)
    is_edited = any(abs(rate - 1.0) > 0.001 for rate in film.get("edit_rates") or [])
    if is_edited or odd >= max(ODD_FEWEST, ODD_SHARE * gaps):
        return Speed("refused", None, None, container)
    if capture_hz is not None and known_by in ("confirmed", "asked"):
        return Speed("known", capture_hz, known_by, container) if LEAST_HZ <= capture_hz <= MOST_HZ else _ask(container)
    told = film.get("told_rate_hz")
    if told and LEAST_HZ <= float(told) <= MOST_HZ:
        return Speed("known", float(told), "camera", container)
    if container >= FAST_HZ:
        return Speed("confirm", None, None, container, (round(container, 2),))
    return _ask(container)


def _ask(container: float) -> Speed:
    near = [rate for rate in USUAL_HZ if abs(rate - container) > 0.05 * rate]
    return Speed("ask", None, None, container, (round(container, 2), *(rate for rate in near if rate > container)))
