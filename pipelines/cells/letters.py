"""Single letters whose meaning the other letters of their column tell: 'M' is a man beside 'V' in Dutch, a woman in
Spanish.
"""

from collections.abc import Sequence

from schemas.spelling import fold

# Two letters that stand together, and what each then means. All of it is common practice, no source.
PAIRS: dict[str, dict[str, dict[str, str]]] = {
    "sex": {
        "hm": {"h": "m", "m": "f"},  # hombre, mujer; homem, mulher
        "dh": {"d": "f", "h": "m"},  # Damen und Herren; dames en heren; damer och herrar
        "du": {"d": "f", "u": "m"},  # donna, uomo
        "jm": {"j": "m", "m": "f"},  # Junge, Maedchen; jongen, meisje
        "gj": {"g": "m", "j": "f"},  # gutt, jente
        "fg": {"f": "f", "g": "m"},  # fille, garcon
        "bg": {"b": "m", "g": "f"},  # boy, girl
        "fp": {"f": "f", "p": "m"},  # flicka, pojke
        "dp": {"d": "m", "p": "f"},  # dreng, pige
        "pt": {"p": "m", "t": "f"},  # poika, tytto
        "mn": {"m": "m", "n": "f"},  # mies, nainen
    },
    "timing_kind": {
        "fh": {"f": "electronic", "h": "hand"},  # fully automatic, hand
        "eh": {"e": "electronic", "h": "hand"},
        "em": {"e": "electronic", "m": "hand"},  # elektrisch, manuell; electrique, manuel; elettrico, manuale
    },
    "side": {
        "hv": {"h": "r", "v": "l"},  # hoeger, vaenster; hoyre, venstre
        "ds": {"d": "r", "s": "l"},  # destra, sinistra
        "de": {"d": "r", "e": "l"},  # direita, esquerda
        "ov": {"o": "r", "v": "l"},  # oikea, vasen
        "lp": {"l": "l", "p": "r"},  # leva, prava; lewa, prawa
    },
}
SPANISH = frozenset({"sexo", "genero"})  # headers of a sex under which 'V' is varon
VARON = {"mv": {"v": "m", "m": "f"}, "hv": {"v": "m", "h": "f"}, "fv": {"v": "m", "f": "f"}}


def by_letters(column: str, header: str, texts: Sequence[str]) -> dict[str, str]:
    """Return what the texts of a column that are one letter each mean, where that the others tell; else nothing.

    Longer texts are left to the vocabulary. Null: no pair known, or a third letter beside it.
    """
    letters = {text: said for text in texts if len(said := fold(text)) == 1 and said.isalpha()}
    together = "".join(sorted(set(letters.values())))
    told = VARON.get(together) if column == "sex" and fold(header) in SPANISH else None
    told = told or PAIRS.get(column, {}).get(together, {})
    return {text: told[said] for text, said in letters.items() if told}


def is_open_sex(column: str, header: str, texts: Sequence[str]) -> bool:
    """Return whether nothing but 'M' stands under 'Sexo': mujeres, or masculino; no other letter tells."""
    return column == "sex" and fold(header) in SPANISH and {fold(text) for text in texts} == {"m"}
