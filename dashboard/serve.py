"""The dashboard's server process: the framework's own, with a watch over every line that is open to it.

The framework chooses what reads its lines by name (``uvicorn``'s tables); here the names are given to ours.
"""

from streamlit.web import cli
from uvicorn import config

config.HTTP_PROTOCOLS["auto"] = "dashboard.access.lines:WatchedHttp"
config.WS_PROTOCOLS["websockets-sansio"] = "dashboard.access.lines:WatchedSocket"

if __name__ == "__main__":
    cli.main()
