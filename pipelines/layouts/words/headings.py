"""A heading read: which columns it may name, its unit, the gate or the step number it carries."""

import dataclasses
import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from pipelines.cells.languages import headers, said_of
from pipelines.cells.numbers import OF_BODY_MASS
from pipelines.cells.phrases import SIDES
from pipelines.layouts.words.gates_said import SLED, without_how
from pipelines.layouts.words.run_words import FLY, METRES, MOST_RUNS, ORDINAL, PLAIN_LETTERS, RUN_NUMBER, flying_run
from pipelines.layouts.words.said import RUN_IN
from pipelines.layouts.words.scales import RATED
from schemas.reading import Scale
from schemas.records import FORMER_NAMES
from schemas.shape import all_shapes
from schemas.spelling import fold
from schemas.unit_words import unit_word

BRACKETS = re.compile(r"[\(\[]([^)\]]*)[\)\]]")
TIME_WORDS = (
    r"(?:t|times?|splits?|zeit|zeiten|tijd|tijden|tussentijd|doorkomst|zwischenzeit|zwischenzeiten|temps|tps|tiempos?"
    r"|parciales|at|nach|elapsed|sprint)"
)
GATE_WORDS = (
    r"(?:gate|schranke|lichtschranke|ls|lg|tor|poort|poortje|lichtpoort|cellule|porte|puerta|fotocelula|celula|grind"
    r"|beam)"
)
GATE = re.compile(
    rf"(?:{GATE_WORDS}\s*\d{{0,2}}[:.\s]\s*)?(?P<word>{TIME_WORDS}\s*)*(?P<gate>\d+(?:[.,]\d+)?)\s*(?P<unit>{METRES}|yd|yards?)?(?P<after>\s*{TIME_WORDS})?"
)
STRETCH = re.compile(
    rf"(?:{TIME_WORDS}\s*)?(?P<from>\d+(?:[.,]\d+)?)\s*{METRES}?\s*(?:-|–|to|bis|→)\s*(?P<to>\d+(?:[.,]\d+)?)\s*{METRES}?"
    rf"(?:\s*{TIME_WORDS})?"
)
NUMBERED = re.compile(
    r"(?:(?P<before>\d{1,2}) )?(?P<phrase>[a-z%# ]*[a-z])(?: ?(?P<after>\d{1,2}))?(?P<rest>(?: [a-z]+)*)"
)
# Words for tests that may stand as a heading with the value below, folded. Common practice, no source.
TEST_WORDS = {
    "eccentric_hamstring": ("nordic", "nordics", "ecc ham", "eccentric ham", "ecc hamstring", "eccentric hamstring",
                            "ecc hams", "nordic hamstring", "exz hamstring", "excentrische hamstring",
                            "excentrisch hamstring", "exzentrisch hamstring", "nordic hold", "nordiques",
                            "isquios excentrico", "ischios excentrique", "eccentric knee flexor", "nordic strength"),
    "mid_thigh_pull": ("imtp", "mid thigh pull", "isometric mid thigh pull"),
    "hip_flexor": ("hip flexor", "hip flexors", "hip flexion"),
    "hip_adduction": ("adduction", "hip adduction", "hip add", "adductor", "adductors", "adductor squeeze",
                      "adductor strength", "groin squeeze", "squeeze", "adduktion", "adduktoren", "adducteurs",
                      "aductores", "aduccion", "adduttori", "adduzione", "adduktorer"),
    "calf_isometric": ("iso calf", "calf iso", "isometric calf", "calf isometric"),
    "countermovement": ("cmj", "countermovement", "countermovement jump", "counter movement jump", "vert", "vertical",
                        "vertical jump", "vert jump", "saut vertical", "hochsprung aus dem stand", "salto vertical",
                        "jump and reach", "verticale sprong", "sprong uit stand", "svikthopp", "svikthopp uten arm"),
    "squat": ("sj", "squat jump", "squat jumps", "squatsprong", "static jump", "saut squat"),
    "drop": ("dj", "drop jump", "depth jump", "tiefsprung"),
    "repeated_hop": ("hops", "repeated hops", "pogo", "pogos"),
    "standing_long_jump": ("slj", "standing long jump", "broad", "broad jump", "standing broad jump", "standweitsprung",
                           "standweit", "saut en longueur sans elan", "salto horizontal", "langdhopp utan ansats",
                           "sbj", "standing lj", "stand long jump", "standing broad", "verspringen uit stand",
                           "vertesprong uit stand",
                           "vertesprong",
                           "salto in lungo da fermo", "stille lengde", "lengde uten tillop",
                           "langdespring uden tillob", "longueur sans elan", "stw", "horizontal",
                           "horizontal pies juntos",
                           "salto horizontal pies juntos", "pies juntos", "salto a pies juntos", "horizontal jump",
                           "salto longitud sin carrera", "detente horizontale"),
}  # fmt: skip
# 'DJ 40', 'drop jump 30 cm', 'DJ from 40cm': a drop jump from a box of so many centimetres. Common practice, no source.
OF_A_BOX = re.compile(r"(?P<test>[a-z ]*?[a-z]) ?(?:from |von |vanaf |de |da |fran )?(?P<cm>[1-9]\d|1[0-2]\d) ?(?:cm)?")
FORCE_TESTS = ("eccentric_hamstring", "mid_thigh_pull", "hip_flexor", "hip_adduction", "calf_isometric")
TEST_SIDE_WORDS = SIDES
TEST_MEASURES = {
    "peak_force_n": ("kracht", "piekkracht", "force", "peak force", "max force", "kraft", "fuerza", "max", "peak"),
    "flight_s": ("flight", "flight time", "air time", "flug", "flugzeit", "ft", "temps de vol"),
    "contact_s": ("contact", "contact time", "ground contact", "kontakt", "kontaktzeit", "gct", "ct", "bkz",
                  "contacttijd", "grondcontact", "bodenkontakt", "temps de contact", "tiempo de contacto",
                  "tempo di contatto", "kontakttid"),
    "jump_height_m": ("height", "hoogte", "hohe", "hauteur", "altura", "hojd", "jump height", "altezza"),
    "box_height_m": ("box", "box height", "drop height", "fallhohe"),
}  # fmt: skip
HAM_WORDS = {"ham", "hams", "hamstring", "hamstrings", "hammy", "ischio", "ischios", "jambiers", "isquio", "isquios",
             "isquiotibial", "isquiotibiales", "oberschenkelruckseite", "beinbeuger", "ischiocrurale", "ischiocrurali",
             "baksida", *said_of("felt", "hamstring")}  # fmt: skip
# 'hinterer Oberschenkel', 'OS hinten', 'arrière de la cuisse': the hamstring in words of a place. Common practice.
BACK_OF_THIGH = re.compile(
    r"(?:hintere?[rnsm]?|ruckseitige?[rnsm]?|achterkant|achterzijde|tyl|zadni strana)"
    r" (?:os|oberschenkel\w*|bovenbeen|uda|stehna)|(?:os|oberschenkel|bovenbeen) (?:hinten|hint|ruckseite|achter)"
    r"|posterior da coxa"
    r"|(?:arriere|posterieur) (?:de la |de )?cuisse|cuisse arriere|(?:back|posterior) (?:of )?(?:the )?thigh"
    r"|(?:parte )?(?:posterior|trasera) (?:del |de )?muslo|bakre lar|bakside lar|bagside lar"
)
TIGHT_WORDS = {"tight", "tightness", "tension", "tensione", "spannung", "verspannung", "raideur", "gene", "rigidez",
               "rigidita", "stiff", "stiffness", "feeling", "feel", "gefuhl", "ressenti", "your", "today", "heute",
               "de", "l", "of", "the", "stijf", "stijfheid", "strak", "spanning", "gevoel", "stramhet", "tirantez",
               "muscle", "side", *said_of("felt", "tight")}  # fmt: skip
OUT_OF = re.compile(r"\s*(?:/|\bout of\b|\bof\b|\bvon\b|\bsur\b|\bsu\b|\bav\b)\s*\d{1,3}\s*$", re.I)
# Also lengths of a session, after all else they may mean.
ALSO_DURATIONS = ("tijd", "time", "zeit", "temps", "tiempo", "tempo", "tid", "czas", "cas", "aika")
COUNTED = {"step", "stap", "poging", "sprong", "schritt", "pas", "foulee", "paso", "zancada",
           "set", "satz", "trial", "try", "attempt", "jump", "versuch"}  # fmt: skip
TRIALS = {"try", "trial", "attempt", "best", "versuch", "essai", "poging", "intento", "int", "tent",
          "tentativa", "prova", "forsok"}  # fmt: skip
# A jump with the arms held still is the plain test. Common practice, no source.
STILL_ARMS = re.compile(r",?\s*(?:with\s+)?(?:hands on (?:the )?hips|akimbo|(?:no|without) arms?(?: swing)?)\b", re.I)
METRES_IN_A_YARD = 0.9144  # m, exact; international yard, 1959 (from memory)
LONG_PHRASE = 4  # letters of a spelling that may be looked for inside a question


@dataclass(frozen=True)
class Heading:
    """One heading of a file."""

    place: int  # its column is c<place>
    text: str
    names: tuple[str, ...] = ()  # record columns or helper names it may mean, likeliest first
    unit: str | None = None  # unit name it gives
    is_exact: bool = False  # it is a record column's own name
    gate_m: float | None = None  # it is a gate: the cells are times there
    from_m: float | None = None  # ... for the stretch from here
    is_bare_number: bool = False  # a gate only in the company of others
    number: int | None = None  # step, set or trial the cells belong to
    run_no: int | None = None  # run the cells belong to, where several stand side by side
    is_fly: bool = False  # the time is of a flying run over that distance, a run of its own
    at: tuple[tuple[str, str], ...] = ()  # key words that hold for its cells: test, side
    phrases: tuple[str, ...] = ()  # columns of a run that its short texts say something of: 'laser, blocks'
    scale: Scale | None = None  # of a rating
    is_told: bool = False  # what it is was answered: its cells are not asked again
    told_table: str = ""  # ... and of which table, where the answer says it
    loose: tuple[str, ...] = ()  # columns whose spelling stands inside it, for questions of a form


@cache
def spellings() -> dict[str, tuple[str, ...]]:
    """Return the columns each folded spelling may mean."""
    listed = tomllib.loads(files("pipelines.layouts").joinpath("words.toml").read_text(encoding="utf-8"))
    found: dict[str, list[str]] = {}
    for column, words in (*listed.items(), *headers().items()):
        for word in words:
            found.setdefault(fold(word), []).append(column)
    for word in ALSO_DURATIONS:
        found.setdefault(word, []).append("duration_min")
    for word in (*headers().get("event", ()), "event"):  # of a person on a roster: the group they train with
        found.setdefault(word, []).append("event_group")
    for word in listed["session_no"]:  # of a plan
        found.setdefault(fold(word), []).append("plan_no")
    for shape in all_shapes().values():
        for column in shape.columns:
            for word in (column, re.sub(r"_(s|m|kg|n|min|deg|hz|percent|ms|h|0_10|torr|c)$", "", column)):
                names = found.setdefault(fold(word), [])
                if column not in names:
                    names.append(column)
    return {word: tuple(dict.fromkeys(columns)) for word, columns in found.items()}


def own_name(text: str) -> str:
    """Return a heading as a record column's own name is written today."""
    name = text.strip().lower().strip('"')
    return FORMER_NAMES.get(name, name)


@cache
def all_columns() -> frozenset[str]:
    """Return the names of all record columns."""
    return frozenset(name for shape in all_shapes().values() for name in shape.columns)


@lru_cache(maxsize=16_384)  # of one sheet the same headings are read forty times
def read_heading(place: int, text: str) -> Heading:  # noqa: PLR0911, PLR0912, PLR0915 - one for each kind of heading
    """Read one heading in free spelling."""
    if own_name(text) in all_columns() and (text == own_name(text) or "_" in text):
        name = own_name(text)
        return Heading(place, text, (name, *(n for n in spellings().get(fold(name), ()) if n != name)), is_exact=True)
    unit: str | None = None
    bare = text
    unclear = False
    for inside in BRACKETS.findall(text):
        word = unit_word(inside)
        unit = unit or word
        unclear = unclear or inside.strip().isdigit()  # '10 m (2)': the second of its kind
    bare = BRACKETS.sub(" ", text).replace("_", " ").strip()
    phrase = fold(bare)
    names = spellings().get(phrase, ()) or _both_names(phrase)
    if phrase == "total" and unit in ("second", "millisecond"):  # beside the time of each stretch
        names = ("elapsed_s",)
    if "%" in text:  # a share of body mass is no mass
        share = (
            OF_BODY_MASS.search(text)
            if "resistance_load_kg" in names or SLED.match(phrase)
            else OF_BODY_MASS.fullmatch(text.strip())
        )
        names = ("resistance_percent",) if share else tuple(name for name in names if not name.endswith("_kg"))
    if unit == "hour" and "sleep_quality" in names:  # 'How did you sleep? (hours)' asks how long
        names = ("sleep_h",)
    rated = _rated_out_of(place, text)
    if rated is not None and not names:
        return rated
    told = None if names else read_test(place, text) or _felt(place, text)
    if told is not None:
        return told
    phrase = fold(RUN_IN.sub(" ", bare)) if not names and RUN_IN.search(bare) else phrase
    phrase = re.sub(rf"(?<=\d|y|g) {TIME_WORDS}$", "", phrase) if not names else phrase  # 'fly 20 time'
    fly = FLY.fullmatch(phrase if unit_word(phrase.split(" ")[-1]) != "second" else " ".join(phrase.split(" ")[:-1]))
    if fly is not None:
        return Heading(place, text, unit=unit, gate_m=float(fly["gate"] or fly["before"]), is_fly=True)
    inside = next((one.strip() for one in BRACKETS.findall(text) if one.strip().isdigit()), "")
    flown = None if names else flying_run(bare, inside)
    if flown is not None:
        return Heading(place, text, unit=unit, gate_m=flown[0], run_no=flown[1], is_fly=True)
    run = None if names else _of_run(place, text, bare, unit)
    if run is None and not names and (plain := without_how(bare)) is not None:
        run = _of_run(place, text, plain, unit) or (None if unclear else _gate(place, text, plain, unit))
    if run is not None:
        return run
    gate = None if names or unclear else _gate(place, text, bare, unit)
    if gate is not None:
        return gate
    if not names:
        shorter, last = _without_last_word(bare)
        word = unit_word(last) if last else None
        if word is not None and unit is None:
            names = spellings().get(fold(shorter), ())
            gate = None if names or unclear else _gate(place, text, shorter, word)
            if gate is not None:
                return gate
            if names:
                unit = word
            else:
                numbered = _numbered(place, text, fold(shorter), word)
                if numbered is not None:
                    return numbered
    elif unit is None:
        unit = unit_word(bare) if phrase in {"kg", "lb", "lbs"} else None
    if not names:
        numbered = _numbered(place, text, phrase, unit)
        if numbered is not None:
            return numbered
        before_scale = fold(re.split(r"\d", bare, maxsplit=1)[0])  # 'Stress 1-5', 'Sleep 1 bad - 10 great'
        names = tuple(name for name in spellings().get(before_scale, ()) if name in RATED)
    return Heading(place, text, names, unit, loose=() if names else _loose(fold(text)))


def _both_names(phrase: str) -> tuple[str, ...]:
    """Return the columns of a heading of first and last names together: 'Apellidos, Nombre', 'Name, Vorname'."""
    words = [word for word in phrase.split() if word not in ("y", "und", "et", "e", "and", "og", "och", "en", "i")]
    parts = {name for word in words for name in spellings().get(word, ()) if name in ("first_name", "last_name")}
    is_name = all(set(spellings().get(word, ())) & {"first_name", "last_name", "athlete_id"} for word in words)
    return ("athlete_id", "display_name") if len(words) == 2 and is_name and parts else ()


def read_test(place: int, text: str) -> Heading | None:
    """Read a heading that names a test of force or jumping, its side and its measure: 'Ecc ham L (N)', 'CMJ (cm)'."""
    unit = next((word for inside in BRACKETS.findall(text) if (word := unit_word(inside.split("-")[0]))), None)
    words = fold(STILL_ARMS.sub(" ", BRACKETS.sub(" ", text).replace("_", " "))).split()
    if unit is None and len(words) > 1 and (unit := unit_word(words[-1])) is not None:
        words = words[:-1]
    number = int(words.pop()) if len(words) > 1 and words[-1].isdigit() and len(words[-1]) == 1 else None
    words = words[:-1] if len(words) > 1 and words[-1] in TRIALS else words  # 'CMJ try 2', 'SLJ best'
    side = next((name for word in words for name, said in TEST_SIDE_WORDS.items() if word in said), None)
    left = " ".join(word for word in words if side is None or word not in TEST_SIDE_WORDS[side])
    measure = next((name for name, said in TEST_MEASURES.items() for one in said if left.endswith(f" {one}")), None)
    for one in TEST_MEASURES.get(measure or "", ()):
        left = left.removesuffix(f" {one}")
    box = OF_A_BOX.fullmatch(left)
    left = box["test"] if box is not None else left
    test = next((name for name, said in TEST_WORDS.items() if left in said or left in said_of("tests", name)), None)
    if test is None or (box is not None and test != "drop"):
        return None
    if test in FORCE_TESTS:
        column = "peak_force_n" if measure in (None, "peak_force_n") else ""
    elif test == "standing_long_jump":
        column = "jump_length_m"
    else:
        column = measure or ("flight_s" if unit in ("second", "millisecond") else "jump_height_m")
    if not column:
        return None
    at = (("test", test), *((("side", side),) if side and test in FORCE_TESTS else ()))
    if box is not None:
        at = (*at, ("box_height_m", f"{int(box['cm']) / 100:g}"))
    return Heading(place, text, (column,), unit, number=number, at=at)


def _rated_out_of(place: int, text: str) -> Heading | None:
    """Return a rating whose heading says the end of its scale: 'Soreness /10', 'RPE out of 10'; None for others."""
    end = OUT_OF.search(text)
    names = spellings().get(fold(text[: end.start()]), ()) if end is not None else ()
    of_scale = tuple(name for name in names if name in RATED) or (("sleep_quality",) if "sleep_h" in names else ())
    return Heading(place, text, of_scale) if of_scale else None


def _felt(place: int, text: str) -> Heading | None:
    """Read a heading of how a hamstring of one side feels: 'Tension ischio G (0-10)', 'Tight ham L', 'Hamstring right'.

    All its words are of the muscle, the side or tightness; '0-10' and what stands in brackets belong to the scale.
    """
    plain = BACK_OF_THIGH.sub("hamstring", fold(BRACKETS.sub(" ", text).replace("_", " ")))
    words = [word for word in plain.split() if not word.isdigit()]
    sides = [word for word in words if any(word in TEST_SIDE_WORDS[side] for side in ("l", "r"))]
    left = [word for word in words if word not in HAM_WORDS and word not in TIGHT_WORDS and word not in sides[:1]]
    if len(sides) < 1 or left or not any(word in HAM_WORDS for word in words):
        return None
    side = "l" if sides[0] in TEST_SIDE_WORDS["l"] else "r"
    return Heading(place, text, (f"hamstring_tightness_{side}",))


def _of_run(place: int, text: str, bare: str, unit: str | None) -> Heading | None:
    """Read a heading of several runs side by side: '10 m run 2', 'Lauf 2 10 m', '10 m (2)', or 'Run 2' alone."""
    plain = re.sub(r"\s+", " ", bare.lower().translate(PLAIN_LETTERS)).strip()
    counted = next((int(one) for one in BRACKETS.findall(text) if one.strip().isdigit()), None)
    if not counted and GATE.fullmatch(plain):  # 't 20 m', 't10': the number is the gate's
        return None
    ordinal = ORDINAL.fullmatch(plain)
    if ordinal is not None and unit is None and 1 <= int(ordinal[1]) <= MOST_RUNS:
        return Heading(place, text, run_no=int(ordinal[1]))
    found = None if counted else RUN_NUMBER.search(plain)
    if found is not None:
        counted = int(found["after"] or found["sign"] or found["before"])
        plain = re.sub(r"\s+", " ", f"{plain[: found.start()]} {plain[found.end() :]}").strip(" -–:,.")
    if not counted or counted > MOST_RUNS:
        return None
    gate = _gate(place, text, plain, unit)
    if gate is None and unit is None:
        shorter, last = _without_last_word(plain)
        word = unit_word(last) if last else None
        gate = _gate(place, text, shorter, word) if word else None
    if gate is not None:
        return None if gate.is_bare_number and found is None else dataclasses.replace(gate, run_no=counted)
    word = unit_word(plain) if plain else None
    is_time = word is None or word in ("second", "millisecond")
    if found is not None and is_time and (not plain or word or re.fullmatch(TIME_WORDS, plain)):
        return Heading(place, text, unit=unit or word, run_no=counted)
    return None


def _without_last_word(bare: str) -> tuple[str, str]:
    parts = re.split(r"[\s,:]+", bare.strip())
    return (" ".join(parts[:-1]), parts[-1]) if len(parts) > 1 else (bare, "")


def _gate(place: int, text: str, bare: str, unit: str | None) -> Heading | None:
    plain = re.sub(r"\s+", " ", bare.lower()).strip()
    stretch = STRETCH.fullmatch(plain)
    if stretch:
        start, end = (_metres(stretch[name]) for name in ("from", "to"))
        return Heading(place, text, unit=unit, gate_m=end, from_m=start) if end > start else None
    gate = GATE.fullmatch(plain)
    if gate is None:
        return None
    metres = _metres(gate["gate"]) * (METRES_IN_A_YARD if (gate["unit"] or "m").startswith("y") else 1)
    if metres < 0 or (metres == 0 and gate["unit"] is None):
        return None
    is_bare = gate["unit"] is None and gate["word"] is None
    return Heading(place, text, unit=unit, gate_m=round(metres, 3), is_bare_number=is_bare)


def _metres(digits: str) -> float:
    return float(digits.replace(",", "."))


def _numbered(place: int, text: str, phrase: str, unit: str | None) -> Heading | None:
    match = NUMBERED.fullmatch(phrase)
    if match is None or not (match["before"] or match["after"]):
        return None
    number = int(match["after"] or match["before"])
    words = f"{match['phrase']}{match['rest'] or ''}".split()
    rest = [word for word in words if word not in COUNTED and "step_no" not in spellings().get(word, ())]
    for candidate in (" ".join(rest), " ".join(words)):
        names = spellings().get(candidate, ())
        if names:
            return Heading(place, text, names, unit, number=number)
    shorter = rest[:-1]
    if rest and unit is None and unit_word(rest[-1]) and spellings().get(" ".join(shorter)):
        return Heading(place, text, spellings()[" ".join(shorter)], unit_word(rest[-1]), number=number)
    if not rest and words and words[0] in {"set", "satz"}:
        return Heading(place, text, ("set_text",), unit, number=number)
    return None


@cache
def _long_spellings() -> tuple[dict[str, tuple[str, ...]], int]:
    """Return the columns each long spelling may mean, and of how many words the longest is."""
    kept = {word: columns for word, columns in spellings().items() if len(word) >= LONG_PHRASE}
    return kept, max(word.count(" ") + 1 for word in kept)


def _loose(phrase: str) -> tuple[str, ...]:
    """Return the columns whose long spelling stands inside a phrase, word for word; the longest spelling first."""
    listed, most = _long_spellings()
    words = phrase.split(" ")
    stretches = (" ".join(words[i : i + n]) for i in range(len(words)) for n in range(1, min(most, len(words) - i) + 1))
    found = {(len(word), column) for word in stretches for column in listed.get(word, ())}
    return tuple(dict.fromkeys(column for _, column in sorted(found, reverse=True)))
