"""Words of the vocabulary inside longer texts: 'laser, blocks', 'from gun', 'R calf strain', titles of sheets."""

import re
from functools import lru_cache

from pipelines.cells.languages import in_cells, said_of
from schemas.spelling import fold

# Words in titles, folded. Common practice, no source. 'fall' and 'stand' are left out: a season, and a verb.
STARTS = {
    "blocks": ("block", "blocks", "block start", "block starts", "blockstart", "blockstarts", "startblock",
               "startblocke",
               "starting blocks", "starting block", "bloc", "blocs", "tacos", "startblocken", "blocchi", "blocco",
               "startblokken", "blok", "blokken", "blokstart", "blokstarts", "uit de blokken", "uit blok",
               "uit het blok",
               "ur block", "blokk", "blokkstart", "blokkstarter", "startblokk", "blokstart"),
    "three_point": ("3 point", "3pt", "3 pt", "three point", "three point stance", "3 punkt", "dreipunkt",
                    "dreipunktstart",
                    "drei punkt", "3 appuis", "trois appuis", "tres apoyos", "3 apoyos", "trepunkt", "tre appoggi",
                    "driepunt", "driepuntsstart", "3 puntsstart", "3 punts"),
    "standing": ("standing", "standing start", "hochstart", "stehend", "debout", "de pie", "staende", "stående",
                 "in piedi",
                 "standing starts", "from standing", "staand", "staande start", "stand up start"),
    "falling": ("falling start", "falling starts", "fallstart"),
    "rolling": ("rolling start", "flying start", "fliegend", "flying starts", "flygende", "flyvende", "vliegend",
                "vliegende"),
}  # fmt: skip
CLOCKS = {
    "gun": ("from gun", "gun", "from the gun", "startschuss", "pistolet", "pistola", "startskott", "startschot",
            "pistool"),
    "first_movement": ("first movement", "from first movement", "from 1st movement", "1st movement", "erste bewegung",
                       "erster bewegung", "premier mouvement", "primer movimiento", "on movement", "first move",
                       "eerste beweging"),
    "hand_release": ("hand release", "hand off", "handkontakt", "thumb pad", "off the pad", "hand pad",
                     "levantar la mano", "soltar la mano", "despegar la mano", "release of the hand", "hand lifts",
                     "lifting the hand", "hand vom boden", "hand abheben", "losen der hand", "lever la main",
                     "leve la main", "lacher de la main", "stacco della mano", "slapper handen",
                     "lyfter handen", "lofter handen", "hand los", "drukknop", "loslaten van de hand",
                     "hand van de grond"),
    "first_gate": ("from first gate", "from the first gate", "ab der 1 schranke", "ab erster schranke",
                   "ab der ersten schranke",
                   "vanaf de eerste poort", "eerste poort", "1e poort", "klok 1e poort", "vanaf het eerste poortje",
                   "eerste poortje",
                   "clock starts at the first gate", "clock starts at first gate", "clock starts at that first gate",
                   "clock starts when the first gate is broken", "first gate starts",
                   "ab erster lichtschranke", "ab der ersten lichtschranke", "ab 1 lichtschranke",
                   "ab der 1 lichtschranke", "startet an der ersten lichtschranke", "startet an der 1 lichtschranke",
                   "depuis la 1re cellule", "depuis la premiere cellule", "des la 1re cellule",
                   "des la premiere cellule", "part a la 1re cellule", "part a la premiere cellule",
                   "demarre a la 1re cellule", "demarre a la premiere cellule", "declenche a la 1re cellule",
                   "declenche a la premiere cellule", "dalla prima cellula", "dalla prima fotocellula",
                   "desde la primera celula"),
}  # fmt: skip
TIMINGS = {
    "hand": ("hand timed", "by hand", "hand timing", "handgestoppt", "handgestopt", "stopwatch", "stoppuhr",
             "my watch", "off the watch", "stopwatches",
             "handstoppung", "a mano",
             "manuel", "chrono manuel", "hand times", "handtid",
             "handgeklokt", "handtijden", "met de hand", "handzeit", "handzeiten", "handstoppungen", "von hand"),
    "electronic": ("all electric", "electric timing", "electric gates", "electric times", "electrically timed",
                   "gates", "timing gates", "beams", "timing beams", "beam", "light gates",
                   "lichtschranke", "lichtschranken", "photocells", "cellules",
                   "fotocelulas", "celulas", "laser", "fotocellule", "poortjes", "poorten", "lichtpoorten",
                   "lichtpoortjes",
                   "tijdpoortjes", "fotoceller", "electronic", "elektronisch", "cellules photo", "photocellules",
                   "chrono electrique", "chronometrage electrique", "chronos electriques", "temps electriques",
                   "chrono electronique", "chronometrage electronique", "elektronische zeitmessung",
                   "elektrische zeitmessung", "cronometraggio elettrico", "cronometraje electrico"),
}  # fmt: skip
# Of a hill, in a title beside a sled; common practice, no source.
HILLS = {"hill", "hills", "uphill", "berg", "bergauf", "cote", "cotes", "cuesta", "cuestas", "salita", "salite",
         "subida", "subidas", "bakke", "backe", "heuvel", "ladeira"}  # fmt: skip
RESISTED = {
    "sled": (
        "sled",
        "sleds",
        "schlitten",
        "traineau",
        "trineo",
        "slade",
        "slitta",
        "sled pulls",
        "slee",
        "sleesprint",
        "sleesprints",
        "met slee",
        "traino",
        "traini",
        "sanki",
        "slaede",
        "kelkka",
        "kelkkaveto",
    ),
    # 'hill', 'berg' and 'backe' alone are names of places and people
    "incline": (
        "hill sprint",
        "hill sprints",
        "hill work",
        "hill repeats",
        "hill runs",
        "hill reps",
        "hill starts",
        "hills",
        "uphill",
        "incline",
        "berglauf",
        "berglaufe",
        "bergauf",
        "hugellaufe",
        "hugelsprints",
        "en cote",
        "cotes",
        "cuestas",
        "en cuesta",
        "salita",
        "salite",
        "subidas",
        "em subida",
        "heuvelsprints",
        "heuvel op",
        "helling",
        "bakkelop",
        "bakkesprint",
        "motbakke",
        "backlopning",
        "uppforsbacke",
        "podbiegi",
        "podbieg",
        "do kopce",
        "makijuoksu",
        "ylamaki",
    ),
    "none": ("free", "free runs", "unresisted", "ohne schlitten", "sans traineau", "libre", "zonder slee"),
}
UNDER_ROOF = {
    "yes": (
        "indoor",
        "indoors",
        "indoor hall",
        "halle",
        "salle",
        "pista cubierta",
        "inomhus",
        "inne",
        "binnen",
        "hall",
        "indoor track",
    ),
    "no": ("outdoor", "outdoors", "draussen", "dehors", "aire libre", "utomhus", "ute", "outside", "buiten"),
}
SITES = {
    "hamstring": ("hamstring", "hamstrings", "ham", "hammy", "ischio", "ischios", "ischio jambiers", "isquio",
                  "isquios",
                  "isquiotibial", "isquiotibiales", "oberschenkelruckseite", "oberschenkel hinten", "ischiocrurali",
                  "bicipite",
                  "baksida lar", "achterkant bovenbeen", "bovenbeen achter"),
    "quadriceps": ("quad", "quads", "quadriceps", "oberschenkel vorne", "cuadriceps", "framsida lar",
                   "voorkant bovenbeen", "bovenbeen voor"),
    "adductor": ("adductor", "adductors", "groin", "leiste", "adduktor", "adduktoren", "aine", "ingle", "ljumske",
                 "inguine",
                 "aductor", "lies", "adductoren", "aductores", "adducteur", "adducteurs"),
    "calf": ("calf", "wade", "mollet", "gemelo", "pantorrilla", "vad", "polpaccio", "kuit", "soleus", "gastroc"),
    "achilles": ("achilles", "achillessehne", "tendon d achille", "aquiles", "achille", "halsena", "achillespees",
                 "tendine d achille"),
    "ankle": ("ankle", "sprunggelenk", "cheville", "tobillo", "fotled", "enkel", "caviglia", "knochel"),
    "foot": ("foot", "fuss", "pied", "pie", "toe", "plantar fascia", "plantar", "voet", "teen", "fot", "piede", "zeh"),
    "knee": ("knee", "knie", "genou", "rodilla", "kna", "ginocchio", "patella"),
    "hip": ("hip", "hip flexor", "hufte", "huftbeuger", "hanche", "cadera", "hoft", "anca", "heup"),
    "back": ("back", "lower back", "rucken", "dos", "espalda", "rygg", "schiena", "lumbar", "rug", "onderrug"),
    "shin": ("shin", "shins", "shin splints", "schienbein", "schienbeinkante", "tibia", "espinilla",
             "skenben", "periostitis", "scheenbeen", "scheen"),
}  # fmt: skip
SIDES = {
    "l": ("l", "left", "links", "linke", "linker", "linkes", "li", "gauche", "g", "izquierda", "izquierdo", "izq",
          "izdo", "izda", "izqdo", "izqda", "vanster", "venstre", "esquerda", "esquerdo", "esq",
          "sinistra", "sinistro", "sx", "lt", "lks", "gche", "linkerbeen", "linkerkant"),
    "r": ("r", "right", "rechts", "rechte", "rechter", "rechtes", "re", "droite", "droit", "d", "derecha",
          "derecho", "der", "dcho", "dcha", "dch", "hoger", "hoyre", "hojre", "direita", "direito",
          "destra", "destro", "dx", "rt", "rts", "drt", "rechterbeen", "rechterkant"),
    "both": ("both", "beide", "beidseitig", "les deux", "ambos", "ambas", "bada", "bilateral"),
}  # fmt: skip
for _column, _words in (("start_kind", STARTS), ("timing_kind", TIMINGS), ("site", SITES), ("side", SIDES)):
    for _word, _more in in_cells(_column).items():
        _words[_word] = tuple(dict.fromkeys((*_words.get(_word, ()), *_more)))
HAND = "hand"  # like 'watch' and 'electric' a way of timing between commas alone: 'tempo 150 m, hand', no 'hand off'
BETWEEN = re.compile(r"[,;/()]|\s[-–]\s")
# ... and without a comma beside a distance or a way to start, all else around it being a day: '20m hand standing'
FAR = r"(?:\d{1,2} ?x ?)?\d{1,3} ?(?:m|mt|mts|metres?|meters?|yds?|yards?)"
A_DAY = r"\d{1,4} \d{1,2}(?: \d{2,4})?"
VOCABULARY = {
    "start_kind": STARTS, "clock_start": CLOCKS, "timing_kind": TIMINGS, "resistance_kind": RESISTED,
    "indoor": UNDER_ROOF,
    "site": SITES, "side": SIDES,
}  # fmt: skip


@lru_cache(maxsize=1)
def _hand_among() -> re.Pattern[str]:
    starts = "|".join(sorted({fold(one) for some in STARTS.values() for one in some}, key=len, reverse=True))
    near = rf"(?:{FAR}|{starts})"
    return re.compile(rf" {near} {HAND} (?:$|(?:{near}|{A_DAY})(?= ))|(?:^| {A_DAY}) {HAND} {near} ")


def _is_hand_among(padded: str) -> bool:
    """Return whether a folded text says 'hand' between distances, starts and days, where it is no part of a body."""
    return f" {HAND} " in padded and _hand_among().search(padded) is not None


@lru_cache(maxsize=4096)
def _folded(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(fold(word) for word in words)


def word_said(text: str, words: dict[str, tuple[str, ...]]) -> str | None:
    """Return the one word of a vocabulary that a text says, None where it says none or several."""
    padded = f" {fold(text)} "
    alone = {fold(part) for part in BETWEEN.split(text)} if words is TIMINGS else set()
    found = {word for word, spellings in words.items() for spelling in _folded(spellings) if f" {spelling} " in padded}
    found |= {"hand"} if alone & {HAND, "watch"} or (alone and _is_hand_among(padded)) else set()
    found |= {"electronic"} if "electric" in alone else set()
    if len(found) == 1:
        return found.pop()
    return None


NOWHERE = frozenset({"nee", "geen", "nergens", "niets", "no", "none", "nothing", "nowhere", "nein", "keine", "kein",
                     "keiner", "nichts", "nirgends", "non",
                     "aucune", "aucun", "rien", "ninguno", "ninguna", "nada", "nessuno", "nessuna", "niente", "nej",
                     "nei", "ingen", "inga", "0", *in_cells("yes_no")["no"], *said_of("scale", "none")})  # fmt: skip
SIDE_NAMES = {"l": "left", "r": "right", "both": "both"}


def where_it_hurts(text: str | None, side: str | None) -> str | None:
    """Return a place that hurts as it was written, the record's own words behind those of another language.

    'Oberschenkel hinten' beside 'li' is 'Oberschenkel hinten, li (left hamstring)'; a text that says no is none.
    """
    if text is None or not text.strip() or fold(text) in NOWHERE:
        return None
    said = ", ".join(one.strip() for one in (text, side) if one and one.strip())
    site, which = word_said(said, SITES), word_said(said, SIDES)
    if site is None or site in fold(said).split():
        return said
    named = " ".join(one for one in (SIDE_NAMES.get(which or ""), site) if one)
    return f"{said} ({named})"


# Words of names that are written small; common practice, no source.
PARTICLES = {"van", "de", "der", "den", "von", "zu", "la", "le", "di", "da", "do", "del", "della", "dos", "das", "af",
             "ten", "ter", "te", "el", "al", "bin", "ibn", "y", "e", "och", "og"}  # fmt: skip
SMALL_WORDS = 2


def tells(text: str) -> bool:
    """Return whether a text tells something of somebody: 'Shari ill, was away' has small words behind its comma."""
    begin, comma, rest = text.strip().partition(",")
    small = [word for word in rest.split() if word.isalpha() and word.islower() and word not in PARTICLES]
    return bool(comma) and begin[:1].isupper() and len(small) >= SMALL_WORDS and not any(map(str.isupper, rest))
