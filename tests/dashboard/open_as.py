"""Open the dashboard as one of the invented viewers, without the gate: for screenshots and tests only.

``VIEW_AS=head_coach|staff|athlete THIRDSTEP_HOME=DIR python -m tests.dashboard.open_as PORT``
"""

import os
import sys
from pathlib import Path

from streamlit.user_info import UserInfoProxy
from streamlit.web import bootstrap

from dashboard.access import current
from dashboard.access.viewer import Viewer

ROOT = Path(__file__).resolve().parents[2]
VIEWERS = {
    "head_coach": Viewer("Head coach", "head_coach", may_read_injuries=True),
    "staff": Viewer("Staff coach", "staff", event_groups=("short_sprints", "hurdles")),
    "athlete": Viewer("Own", "athlete", athlete_id=os.environ.get("VIEW_ATHLETE", "teo-brandmere")),
}


def serve(port: int, role: str) -> None:
    """Serve the pages to one invented viewer."""
    current.viewer_from_header = lambda value: VIEWERS[role]
    UserInfoProxy.to_dict = lambda self: {"local_user": role}  # type: ignore[method-assign]
    bootstrap.load_config_options({"server.port": port, "client.showErrorDetails": "full"})
    bootstrap.run(str(ROOT / "dashboard" / "app.py"), False, [], {})


if __name__ == "__main__":
    serve(int(sys.argv[1]), os.environ.get("VIEW_AS", "head_coach"))
