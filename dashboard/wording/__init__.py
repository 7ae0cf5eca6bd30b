"""Every word of the interface, in one place: pages take words from here and write none of their own."""

from dashboard.wording.athlete import *  # noqa: F403
from dashboard.wording.checkin import *  # noqa: F403
from dashboard.wording.data import *  # noqa: F403
from dashboard.wording.drills import *  # noqa: F403
from dashboard.wording.forms import *  # noqa: F403
from dashboard.wording.general import *  # noqa: F403
from dashboard.wording.growth import *  # noqa: F403
from dashboard.wording.guardian import *  # noqa: F403
from dashboard.wording.menus import *  # noqa: F403
from dashboard.wording.people import *  # noqa: F403
from dashboard.wording.plain import *  # noqa: F403
from dashboard.wording.strip import *  # noqa: F403
from dashboard.wording.technique import *  # noqa: F403
from dashboard.wording.week import *  # noqa: F403
from dashboard.wording.work import *  # noqa: F403
from dashboard.wording.worked import *  # noqa: F403
from dashboard.wording.worked_start import *  # noqa: F403
from schemas.labels import *  # noqa: F403
