"""A roster, a morning form, a diary and a sheet of gates in thirteen languages: the same invented people and values.

Words are from memory; no form, app or club is copied. What each file says is written by hand in ``test_tongues.py``.
A language has four headers; the rows below them are made of its own words for a woman, a man, a block start and
two days in March.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Tongue:
    """One language: headers of four files and the few words its cells hold."""

    roster: str
    form: str
    diary: str
    gates: str
    woman: str
    man: str
    block: str
    march: tuple[str, str]  # the 3rd and the 5th of March 2026
    long: tuple[str, str]  # 75 minutes; seven and a half hours of sleep


TONGUES = {
    "en": Tongue(
        "No;First name;Last name;Nickname;Date of birth;Sex;Group",
        "Timestamp;Who are you?;How many hours did you sleep?;How well did you sleep? (1 = badly, 5 = very well);"
        "How tired are you? (1 = fresh, 10 = wrecked);Muscle soreness (1 = none, 10 = extreme);"
        "Stress (1 = none, 5 = a lot);Mood (1 = bad, 5 = great);Left hamstring tight? (1 = loose, 10 = very tight);"
        "Right hamstring tight? (1 = loose, 10 = very tight)",
        "Date;Who;What we did;RPE;Duration", "Name;Date;Run;Start;10 m;20 m;30 m;Comment", "f", "m", "blocks",
        ("3 March 2026", "5 March 2026"), ("1h15", "7h30"),
    ),
    "de": Tongue(
        "Nr.;Vorname;Nachname;Rufname;Geb.-Datum;m/w;Gruppe",
        "Zeitstempel;Wer bist du?;Wie viele Stunden hast du geschlafen?;"
        "Wie gut hast du geschlafen? (1 = schlecht, 5 = sehr gut);"
        "Wie müde bist du? (1 = frisch, 10 = kaputt);Muskelkater (1 = keiner, 10 = sehr stark);"
        "Stress (1 = keiner, 5 = sehr viel);Stimmung (1 = schlecht, 5 = super);"
        "Hamstring links verspannt? (1 = locker, 10 = sehr fest);"
        "Hamstring rechts verspannt? (1 = locker, 10 = sehr fest)",
        "Datum;Wer;Was gemacht;RPE;Dauer", "Name;Datum;Lauf;Start;10 m;20 m;30 m;Bemerkung", "w", "m", "Block",
        ("3. März 2026", "5. März 2026"), ("1 Std 15", "7 Std 30"),
    ),
    "fr": Tongue(
        "N°;Prénom;Nom de famille;Surnom;Date de naissance;H/F;Groupe",
        "Horodateur;Qui es-tu ?;Combien d'heures as-tu dormi ?;Qualité du sommeil (1 = mauvaise, 5 = excellente);"
        "Fatigue (1 = frais, 10 = épuisé);Courbatures (1 = aucune, 10 = très fortes);"
        "Stress (1 = aucun, 5 = beaucoup);"
        "Humeur (1 = mauvaise, 5 = excellente);Ischio gauche tendu ? (1 = souple, 10 = très tendu);"
        "Ischio droit tendu ? (1 = souple, 10 = très tendu)",
        "Date;Qui;Ce qu'on a fait;RPE;Durée", "Nom;Date;Course;Départ;10 m;20 m;30 m;Remarque", "f", "h", "blocs",
        ("3 mars 2026", "5 mars 2026"), ("1 h 15", "7h30"),
    ),
    "es": Tongue(
        "N.º;Nombre;Apellidos;Apodo;Fecha de nacimiento;Sexo;Grupo",
        "Marca temporal;¿Quién eres?;¿Cuántas horas has dormido?;¿Cómo has dormido? (1 = mal, 5 = muy bien);"
        "¿Cómo estás de cansado? (1 = fresco, 10 = agotado);Agujetas (1 = ninguna, 10 = muchas);"
        "Estrés (1 = nada, 5 = mucho);Estado de ánimo (1 = malo, 5 = excelente);"
        "Isquio izquierdo tenso (1 = suelto, 10 = muy tenso);Isquio derecho tenso (1 = suelto, 10 = muy tenso)",
        "Fecha;Quién;Qué hicimos;RPE;Duración", "Nombre;Fecha;Carrera;Salida;10 m;20 m;30 m;Observaciones", "f", "m",
        "tacos", ("3 de marzo de 2026", "5 de marzo de 2026"), ("1 h 15", "7 h 30"),
    ),
    "it": Tongue(
        "N.;Nome;Cognome;Soprannome;Data di nascita;M/F;Gruppo",
        "Informazioni cronologiche;Chi sei?;Quante ore hai dormito?;Come hai dormito? (1 = male, 5 = molto bene);"
        "Quanto sei stanco? (1 = fresco, 10 = distrutto);Indolenzimento (1 = nessuno, 10 = molto forte);"
        "Stress (1 = niente, 5 = molto);Umore (1 = pessimo, 5 = ottimo);"
        "Femorale sinistro teso (1 = sciolto, 10 = molto teso);Femorale destro teso (1 = sciolto, 10 = molto teso)",
        "Data;Chi;Cosa fatto;RPE;Durata", "Nome;Data;Prova;Partenza;10 m;20 m;30 m;Osservazioni", "f", "m", "blocchi",
        ("3 marzo 2026", "5 marzo 2026"), ("1 h 15", "7 ore 30"),
    ),
    "pt": Tongue(
        "N.º;Nome próprio;Partícula;Apelido;Alcunha;Data de nascimento;Sexo;Grupo",
        "Carimbo de data/hora;Quem és?;Quantas horas dormiste?;Qualidade do sono (1 = má, 5 = ótima);"
        "Cansaço (1 = fresco, 10 = exausto);Dores musculares (1 = nenhumas, 10 = muito fortes);"
        "Stress (1 = nenhum, 5 = muito);Humor (1 = mau, 5 = ótimo);"
        "Isquiotibial esquerdo tenso (1 = solto, 10 = muito tenso);"
        "Isquiotibial direito tenso (1 = solto, 10 = muito tenso)",
        "Data;Quem;O que fizemos;PSE;Duração", "Nome;Data;Corrida;Partida;10 m;20 m;30 m;"
        "Observações", "f", "m", "blocos",
        ("3 de março de 2026", "5 de março de 2026"), ("1h15", "7h30"),
    ),
    "nl": Tongue(
        "nr;voornaam;tussenvoegsel;achternaam;roepnaam;geb.datum;m/v;groep",
        "Tijdstempel;Wie ben je?;Hoeveel uur geslapen?;Hoe goed geslapen? (1 = slecht, 5 = super);"
        "Hoe moe ben je? (1 = fris, 10 = kapot);Spierpijn (1 = niks, 10 = heel veel);Stress (1 = geen, 5 = veel);"
        "Humeur (1 = chagrijnig, 5 = top);Hamstring links gespannen? (1 = los, 10 = staat strak);"
        "Hamstring rechts gespannen? (1 = los, 10 = staat strak)",
        "datum;wie;wat gedaan;RPE;duur", "naam;datum;poging;start;10 m;20 m;30 m;opm.", "v", "m", "blok",
        ("3 maart 2026", "5 mrt 2026"), ("1u15", "7u30"),
    ),
    "pl": Tongue(
        "Lp.;Imię;Nazwisko;Ksywa;Data urodzenia;K/M;Grupa",
        "Sygnatura czasowa;Kto?;Ile godzin spałeś?;Jakość snu (1 = zła, 5 = bardzo dobra);"
        "Zmęczenie (1 = świeży, 10 = wykończony);Bolesność mięśni (1 = brak, 10 = bardzo duża);"
        "Stres (1 = brak, 5 = duży);Nastrój (1 = zły, 5 = świetny);"
        "Dwugłowy lewy napięty? (1 = luźny, 10 = bardzo napięty);"
        "Dwugłowy prawy napięty? (1 = luźny, 10 = bardzo napięty)",
        "Data;Kto;Co robiliśmy;RPE;Czas trwania", "Zawodnik;Data;Próba;Start;10 m;20 m;30 m;Uwagi", "k", "m", "bloki",
        ("3 marca 2026", "5 marca 2026"), ("1 godz. 15", "7 godz. 30"),
    ),
    "cs": Tongue(
        "č.;Jméno;Příjmení;Přezdívka;Datum narození;Pohlaví;Skupina",
        "Časová značka;Kdo jsi?;Kolik hodin jsi spal?;Kvalita spánku (1 = špatná, 5 = výborná);"
        "Únava (1 = svěží, 10 = vyčerpaný);Bolest svalů (1 = žádná, 10 = velmi silná);Stres (1 = žádný, 5 = velký);"
        "Nálada (1 = špatná, 5 = výborná);Hamstring levý napjatý? (1 = volný, 10 = velmi napjatý);"
        "Hamstring pravý napjatý? (1 = volný, 10 = velmi napjatý)",
        "Datum;Kdo;Co jsme dělali;RPE;Délka tréninku", "Jméno;Datum;Pokus;Start;10 m;20 m;30 m;"
        "Poznámka", "ž", "m", "bloky",
        ("3. března 2026", "5. března 2026"), ("1 hod 15", "7 hod 30"),
    ),
    "da": Tongue(
        "Nr.;Fornavn;Efternavn;Kaldenavn;Fødselsdato;Køn;Gruppe",
        "Tidsstempel;Hvem er du?;Hvor mange timer sov du?;Søvnkvalitet (1 = dårlig, 5 = meget god);"
        "Træthed (1 = frisk, 10 = udmattet);Muskelømhed (1 = ingen, 10 = meget stærk);Stress (1 = ingen, 5 = meget);"
        "Humør (1 = dårligt, 5 = godt);Baglår venstre stramt? (1 = løst, 10 = meget stramt);"
        "Baglår højre stramt? (1 = løst, 10 = meget stramt)",
        "Dato;Hvem;Hvad vi lavede;RPE;Varighed", "Navn;Dato;Løb;Start;10 m;20 m;30 m;"
        "Bemærkning", "k", "m", "startblok",
        ("3. marts 2026", "5. marts 2026"), ("1 t 15", "7 t 30"),
    ),
    "nb": Tongue(
        "Nr.;Fornavn;Etternavn;Kallenavn;Fødselsdato;Kjønn;Gruppe",
        "Tidsmerke;Hvem er du?;Hvor mange timer sov du?;Søvnkvalitet (1 = dårlig, 5 = veldig god);"
        "Hvor sliten er du? (1 = uthvilt, 10 = utslitt);Muskelstølhet (1 = ingen, 10 = veldig sterk);"
        "Stress (1 = ingen, 5 = mye);Humør (1 = dårlig, 5 = veldig godt);"
        "Hamstring venstre stram? (1 = løs, 10 = veldig stram);Hamstring høyre stram? (1 = løs, 10 = veldig stram)",
        "Dato;Hvem;Hva vi gjorde;RPE;Varighet", "Navn;Dato;Løp;Start;10 m;20 m;30 m;Merknad", "k", "m", "blokk",
        ("3. mars 2026", "5. mars 2026"), ("1t15", "7t30"),
    ),
    "sv": Tongue(
        "Nr;Förnamn;Efternamn;Smeknamn;Födelsedatum;Kön;Grupp",
        "Tidsstämpel;Vem är du?;Hur många timmar har du sovit?;Sömnkvalitet (1 = dålig, 5 = mycket bra);"
        "Hur trött är du? (1 = pigg, 10 = helt slut);Träningsvärk (1 = ingen, 10 = mycket stark);"
        "Stress (1 = ingen, 5 = mycket);Humör (1 = dåligt, 5 = toppen);"
        "Baksida lår vänster stel? (1 = lös, 10 = mycket stel);Baksida lår höger stel? (1 = lös, 10 = mycket stel)",
        "Datum;Vem;Vad vi gjorde;RPE;Längd på passet", "Namn;Datum;Lopp;Start;10 m;20 m;30 m;Anmärkning", "k", "m",
        "startblock", ("3 mars 2026", "5 mars 2026"), ("1 tim 15", "7 tim 30"),
    ),
    "fi": Tongue(
        "Nro;Etunimi;Sukunimi;Lempinimi;Syntymäaika;Sukupuoli;Ryhmä",
        "Aikaleima;Kuka olet?;Montako tuntia nukuit?;Unen laatu (1 = huono, 5 = erinomainen);"
        "Väsymys (1 = virkeä, 10 = uupunut);Lihaskipu (1 = ei yhtään, 10 = erittäin kova);"
        "Stressi (1 = ei yhtään, 5 = paljon);Mieliala (1 = huono, 5 = erinomainen);"
        "Takareisi vasen kireä? (1 = löysä, 10 = erittäin kireä);"
        "Takareisi oikea kireä? (1 = löysä, 10 = erittäin kireä)",
        "Päivämäärä;Kuka;Mitä tehtiin;RPE;Kesto", "Nimi;Päivämäärä;Juoksu;Lähtö;10 m;20 m;30 m;Huomautus", "n", "m",
        "telineet", ("3. maaliskuuta 2026", "5. maaliskuuta 2026"), ("1 h 15", "7 h 30"),
    ),
}  # fmt: skip
PARTICLES = {"nl": "van der", "pt": "da"}  # languages whose roster above has a column for it


def roster(tongue: str) -> str:
    """Return a roster: Ana Berg, whose friends say Nana, and Ben Lund."""
    one, particle = TONGUES[tongue], PARTICLES.get(tongue)
    between = "" if particle is None else f"{particle};"
    nothing = "" if particle is None else ";"
    return (
        f"{one.roster}\n1;Ana;{between}Berg;Nana;12.05.2003;{one.woman};Sprint\n"
        f"2;Ben;{nothing}Lund;;23.11.2001;{one.man};Sprint\n"
    )


def form(tongue: str) -> str:
    """Return the answers of two mornings."""
    one = TONGUES[tongue]
    return (
        f"{one.form}\n2026-03-03 06:40:04;Ana Berg;{one.long[1]};2;4;4;2;3;2;4\n"
        f"2026-03-03 07:10:31;Ben Lund;8;5;1;1;1;5;1;10\n2026-03-05 06:45:12;Ana Berg;6,5;4;7;10;5;1;4;1\n"
    )


def diary(tongue: str) -> str:
    """Return a diary of two days, the day written once."""
    one = TONGUES[tongue]
    return (
        f"{one.diary}\n{one.march[0]};Ana Berg;starts;6;{one.long[0]}\n{one.march[0]};Ben Lund;starts;8;75\n"
        f"{one.march[1]};Ana Berg;starts;5;1:30\n"
    )


def gates(tongue: str) -> str:
    """Return runs through three gates."""
    one = TONGUES[tongue]
    return (
        f"{one.gates}\nAna Berg;03.03.2026;1;{one.block};1,95;3,13;4,22;\nAna Berg;03.03.2026;2;{one.block};"
        f"1,92;3,09;4,16;\n"
        f"Ben Lund;03.03.2026;1;{one.block};1,81;2,89;3,89;\n"
    )
