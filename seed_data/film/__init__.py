"""Starts of the demo filmed from the side: a drawn runner, the phone beside the lane, and the marks somebody made.

``FILM`` is one of them as a film, to be opened on the Film page; ``FILM_PRINT_FILE`` says how it is known again.
``python -m seed_data.film`` draws it anew (needs ffmpeg, and other versions of it write other bytes).
"""

from pathlib import Path

FILM = Path(__file__).parent / "drawn_start.mp4"
FILM_PRINT_FILE = Path(__file__).parent / "drawn_start.json"
