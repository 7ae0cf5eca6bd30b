"""Many squads together: each derived where its home is, what it shares put into one lake, and the lake asked.

``export`` → ``task`` (one squad, no engine) → ``share`` → ``lake`` → ``questions`` → ``reference``. ``spark`` is the
only module that imports the engine, ``lake`` and ``questions`` the only ones that need the rest of the extra.
"""
