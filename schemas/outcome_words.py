"""How people write that a run or a race was not finished, not begun or not counted; also in the cell for its time."""

# In lower case without accents and full stops, as ``schemas.spelling.fold`` leaves a text.
NOT_FINISHED = (
    "dnf", "did not finish", "not finished", "stopped", "pulled up", "aborted", "retired",
    "abgebrochen", "aufg", "aufgegeben", "uitgestapt", "abandon", "abandono", "retirado", "retirada",
    "rit", "ritirato", "ritirata", "no termino", "no finalizo", "retirat", "no ha acabat", "desistiu", "abandonou",
    "nicht beendet", "brutit", "ikke fullfort", "ikke fuldfort", "keskeytti", "nie ukonczyl", "nie ukonczyla",
    "nedokoncil", "nedokoncila", "niet gefinisht", "opgave",
)  # fmt: skip
NOT_STARTED = ("dns", "did not start", "nicht gestartet", "niet gestart", "non partant", "no salio",
               "non partito", "non partita", "np", "n p", "no presentado", "no presentada", "no se presento",
               "no presentat", "forfait", "non parti", "non partie", "nicht angetreten", "nao compareceu",
               "nao partiu", "ej start", "ej startande", "ikke startet", "ikke start", "ei lahtenyt", "ei startannut",
               "nie wystartowal", "nie wystartowala", "nestartoval", "nestartovala")  # fmt: skip
DISQUALIFIED = (
    "dq", "dsq", "disq", "disqualified", "disqualifiziert", "disqualifie", "disqualifiee",
    "descalificado", "descalificada", "gediskwalificeerd", "sq", "squal", "squalificato",
    "squalificata", "desc", "descal", "descalificat", "desqualificado", "desqualificada", "desq", "desclassificado",
    "desclassificada", "disqu", "disk", "diskvalificerad", "diskad", "diskvalifisert", "diskvalificeret", "hylatty",
    "hyl", "zdyskwalifikowany", "zdyskwalifikowana", "dyskw", "diskvalifikovan", "diskvalifikovana",
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
        "not_finished": (*NOT_FINISHED, "ab", "aband", "ret"),
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

# In place of a value below a person's name: that person was not there. Common practice, no source.
NOT_THERE = (
    *NOT_STARTED, "away", "not there", "missing", "out", "injury", "inj", "ill", "sick", "illness", "off sick",
    "fehlt", "fehlend", "verletzung", "verl", "krankheit", "abs", "absents", "blessure", "bless", "maladie",
    "lesion", "les", "baja", "de baja", "enfermedad", "ausentes", "no vino", "no entreno", "no hace",
    "lesio", "lesionat", "lesionada", "malalt", "malalta", "absencia", "infortunio", "inf", "malattia", "assenti",
    "lesao", "doenca", "faltou", "falta", "ziekte", "skada", "sjukdom", "skade", "sykdom", "sygdom", "fravaer",
    "vamma", "loukkaantuminen", "sairaus", "uraz", "choroba", "nieobecnosc", "zraneni", "nemoc",
)  # fmt: skip
