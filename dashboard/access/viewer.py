"""Somebody who looks, and what they may read."""

from dataclasses import dataclass, field
from typing import Literal

from schemas.rights import Writer

Role = Literal["head_coach", "staff", "athlete", "guardian"]


@dataclass(frozen=True)
class Viewer:
    """A signed-in person and what they may read."""

    name: str
    role: Role
    athlete_id: str | None = None
    event_groups: tuple[str, ...] = field(default=())
    may_read_injuries: bool = False
    is_fresh: bool = field(default=False, compare=False)  # whether the pass-phrase was given in the last minutes

    @property
    def is_coach(self) -> bool:
        """Whether the viewer coaches others."""
        return self.role in ("head_coach", "staff")

    @property
    def is_tied(self) -> bool:
        """Whether the viewer reads one athlete's page: that athlete, or a minor's guardian."""
        return self.role in ("athlete", "guardian") and self.athlete_id is not None

    @property
    def writer(self) -> Writer:
        """The same person as one who writes: what they may is asked where it is stored, and nowhere else."""
        return Writer(self.name, self.role, self.athlete_id, self.event_groups, self.may_read_injuries)

    @property
    def is_own(self) -> bool:
        """Whether the page a tied viewer reads is about themselves."""
        return self.role == "athlete"

    @property
    def reads_injuries(self) -> bool:
        """Whether injury detail is open: the head coach, staff with the grant, and a person's own or their child's."""
        return self.role == "head_coach" or self.is_tied or (self.role == "staff" and self.may_read_injuries)
