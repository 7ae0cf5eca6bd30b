"""The dashboard's server process: the framework's own, with a watch over every line that is open to it.

The framework chooses what reads its lines by name (``uvicorn``'s tables); here the names are given to ours.
Garbage is not looked for until all is imported (``run.py`` begins again): there is none, and what is there stays.
"""

import gc

gc.disable()

from streamlit.web import cli  # noqa: E402 - from here on
from uvicorn import config  # noqa: E402

config.HTTP_PROTOCOLS["auto"] = "dashboard.access.lines:WatchedHttp"
config.WS_PROTOCOLS["websockets-sansio"] = "dashboard.access.lines:WatchedSocket"

if __name__ == "__main__":
    cli.main()
