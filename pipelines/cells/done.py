"""Whether what a row names was done: columns 'Done', 'Status', 'Attended', and what stands in them.

All words are common practice, no source; folded.
"""

from collections.abc import Sequence

from pipelines.cells.spoken import is_absent, read_yes_no
from schemas.outcome_words import FINISHED
from schemas.spelling import fold

HEADERS = frozenset((
    "done", "done y n", "completed", "complete", "status", "attended", "attendance", "present", "presence", "was there",
    "erledigt", "gemacht", "absolviert", "anwesend", "anwesenheit", "teilgenommen", "teilnahme", "durchgefuhrt",
    "fait", "realise", "realisee", "effectue", "effectuee", "statut", "presence o n", "venu",
    "hecho", "hecha", "realizado", "realizada", "asistencia", "asistio", "presente", "estado",
    "fatto", "svolto", "svolta", "presenza", "presenze", "stato", "feito", "feita", "presenca",
    "gedaan", "uitgevoerd", "aanwezig", "aanwezigheid", "gjort", "narvaro", "narvarande", "genomfort", "genomford",
    "gjennomfort", "oppmote", "til stede", "fremmode", "gennemfort", "tehty", "lasna",
    "zrobione", "obecnosc", "hotovo", "ucast",
))  # fmt: skip
NOT_DONE = frozenset((
    "missed", "absent", "cancelled", "canceled", "called off", "planned", "plan", "scheduled", "skipped", "not done",
    "did not train", "did not attend", "excused", "off", "postponed", "open", "nope",
    "ausgefallen", "abgesagt", "entschuldigt", "unentschuldigt", "geplant", "nicht gemacht", "abwesend", "offen",
    "annule", "annulee", "prevu", "prevue", "excuse", "excusee", "pas fait", "reporte", "reportee",
    "cancelado", "cancelada", "previsto", "prevista", "planificado", "planificada", "falto", "no hecho", "pendiente",
    "annullato", "annullata", "pianificato", "non fatto", "saltato", "saltata", "assente",
    "nao feito", "planeado", "planejado", "geannuleerd", "gepland", "niet gedaan", "afgelast",
    "installt", "planerad", "planerat", "franvarande", "franvaro", "ej gjort", "avlyst", "planlagt", "ikke gjort",
    "aflyst", "peruttu", "odwolany", "zruseno",
))  # fmt: skip
DONE = frozenset((
    *FINISHED, "attended", "present", "there", "trained", "erledigt", "gemacht", "anwesend", "da", "fait", "faite",
    "realise", "realisee", "presente", "hecho", "hecha", "realizado", "realizada", "fatto", "fatta", "svolto", "feito",
    "gedaan", "aanwezig", "gjort", "genomford", "gjennomfort", "narvarande", "modified", "partly", "partial",
    "teilweise",
))  # fmt: skip


def was_done(text: str) -> bool | None:
    """Return whether a cell says that something was done; None where it says neither."""
    said = fold(text)
    if said in DONE or read_yes_no(text)[0] is True:
        return True
    if said in NOT_DONE or read_yes_no(text)[0] is False or is_absent(text):
        return False
    first, _, more = said.partition(" ")
    begins = any(" " in phrase and said.startswith(f"{phrase} ") for phrase in NOT_DONE)
    return False if begins or (more and first in NOT_DONE - {"plan", "off", "open"}) else None


def says_done(header: str, texts: Sequence[str]) -> bool:
    """Return whether a column says of each row whether it was done: by its header, and by all of its cells."""
    return fold(header) in HEADERS and bool(texts) and all(was_done(text) is not None for text in texts)
