"""How people write that a run or a race was not finished, not begun or not counted; also in the cell for its time."""

# In lower case without accents and full stops, as ``schemas.spelling.fold`` leaves a text.
NOT_FINISHED = (
    "dnf", "did not finish", "not finished", "stopped", "pulled up", "aborted", "retired",
    "abgebrochen", "aufg", "aufgegeben", "uitgestapt", "abandon", "abandono", "retirado", "retirada",
    "rit", "ritirato", "ritirata",
)  # fmt: skip
NOT_STARTED = ("dns", "did not start", "nicht gestartet", "niet gestart", "non partant", "no salio",
               "non partito", "non partita")  # fmt: skip
DISQUALIFIED = (
    "dq", "dsq", "disq", "disqualified", "disqualifiziert", "disqualifie", "disqualifiee",
    "descalificado", "descalificada", "gediskwalificeerd", "sq", "squal", "squalificato",
    "squalificata",
)  # fmt: skip
FINISHED = ("ok", "finish", "finished", "fin", "complete", "completed", "done", "beendet", "arrive", "terminado")

# Column -> word of the vocabulary -> spellings.
OUTCOME_WORDS: dict[str, dict[str, tuple[str, ...]]] = {
    "outcome": {
        "completed": (*FINISHED, "yes"),
        "stopped": NOT_FINISHED,
        "false_start": ("fs", "fehlstart", "faux depart", "valse start", "salida nula", "nula"),
    },
    "race_outcome": {
        "finished": FINISHED,
        "not_started": NOT_STARTED,
        "not_finished": NOT_FINISHED,
        "disqualified": DISQUALIFIED,
    },
}

# Word in place of a race's time -> how the race ended.
ENDED_RACE: dict[str, str] = {
    spelling: word
    for word, spellings in OUTCOME_WORDS["race_outcome"].items()
    if word != "finished"
    for spelling in spellings
}
