"""Sources of knowledge for the area: hamstring, and for judging flags afterwards."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "green_2020": Source(
        "Green et al. 2020, Br J Sports Med 54(18):1081-1088 (78 studies, 8,319 injuries): previous hamstring strain "
        "RR 2.7, recent one RR 4.8, older age SMD 1.6.",
        note="Associations over groups; they predict individuals poorly.",
    ),
    "wangensteen_2016": Source(
        "Wangensteen et al. 2016, Am J Sports Med 44(8):2112-2121: 19 re-injuries, median 24 days after return, more "
        "than half within 25 days, 79 % at the same place."
    ),
    "zein_2024": Source(
        "Zein et al. 2024, Br J Sports Med 58(14):766: of 330 hamstring injuries 9 % came again within two months, "
        "17 % within twelve (52 of the 308 followed that long)."
    ),
    "sugiura_2008": Source(
        "Sugiura et al. 2008, J Orthop Sports Phys Ther 38(8):457-464: 30 sprinters, 6 injuries, always the side with "
        "the weaker eccentric hamstring.",
        note="Six injuries: weak evidence. Opposed by van Dyk 2017 and, from memory, Opar 2021 in other sports.",
    ),
    "bourne_2015": Source(
        "Bourne et al. 2015, Am J Sports Med 43(11):2663-2670: rugby, side difference >= 15 % RR 2.4 (1.1-5.5).",
        note="Opar 2015 found no effect of a difference > 10 %. The cut-offs are context and never flag here.",
    ),
    "opar_2015": Source(
        "Opar et al. 2015, Med Sci Sports Exerc 47(4):857-865: 210 players of Australian football, under 256 N RR 2.7 "
        "(1.3-5.5).",
        note="Cut-off of another sport: context only, never used to flag.",
    ),
    "timmins_2016": Source(
        "Timmins et al. 2016, Br J Sports Med 50(24):1524-1535: 152 soccer players, under 337 N RR 4.4 (1.1-17.5).",
        note="Cut-off of another sport, above the mean of elite women sprinters: context only, never used to flag.",
    ),
    "presland_2018": Source(
        "Presland et al. 2018, Scand J Med Sci Sports 28(7):1775-1783 (20 people): two weeks off reversed the "
        "lengthening of the muscle bundles, strength held four weeks.",
        note="Basis of the notes at 14 and 28 days: times of detraining, not of danger.",
    ),
    "duhig_2016": Source(
        "Duhig et al. 2016, Br J Sports Med 50(24):1536-1540: one team of Australian football, two seasons; more "
        "high-speed running than usual in the week before, OR 6.44 (2.99-14.41) per z.",
        note="Team sport, satellite tracking, few injuries. No dose-response for sprinters was found.",
    ),
    "colby_2018": Source(
        "Colby et al. 2018, IJSPP 13(9):1130-1135: 60 players, U-shape of fast sessions in 8 weeks; AUC 0.64.",
        note="For sprinters a gap means something else (holiday, illness): the squad sets its own number of days.",
    ),
    "bahr_2016": Source(
        "Bahr 2016, Br J Sports Med 50(13):776-780: no screening test for sports injury has passed the three steps "
        "that would make it one."
    ),
    "bramah_2023": Source(
        "Bramah et al. 2023, Sports Med 54:783-793 (opinion): running mechanics may matter for hamstring strain; the "
        "evidence is mostly theoretical.",
        note="21 sprinters followed 12 months: left-right asymmetry of the stride went with neither speed nor injury "
        "(Haugen 2018, via Kalema 2021).",
    ),
    "wilson_1927": Source("Wilson 1927, J Am Stat Assoc 22:209-212: score interval of a share.", read="memory"),
    "clopper_1934": Source("Clopper & Pearson 1934, Biometrika 26:404-413: exact interval of a share.", read="memory"),
    "efron_1979": Source(
        "Efron 1979, Ann Stat 7:1-26: bootstrap. Whole athletes are drawn, as weeks of one athlete hang together.",
        read="memory",
    ),
    "permutation_test": Source(
        "Permutation test, textbook statistics: flags shuffled within each athlete; hits are then a sum of "
        "hypergeometric numbers, and its distribution is computed whole.",
        read="memory",
    ),
    "brier_1950": Source("Brier 1950, Mon Weather Rev 78:1-3: mean squared error of a probability.", read="memory"),
    "vickers_2006": Source(
        "Vickers & Elkin 2006, Med Decis Making 26:565-574: net benefit.",
        read="secondary",
        note="Formula read in Vickers, van Calster, Steyerberg 2019, Diagn Progn Res 3:18.",
    ),
}

# Families that count into the level. Start-pattern notes are opinion and stand beside it.
COUNTED_FAMILIES = ("history", "capacity", "exposure", "state")
# Families whose silence for want of data makes the level 'cannot say' (a history without an entry says nothing).
DATA_FAMILIES = ("capacity", "exposure", "state")

# Words that name the hamstring in a note: English, German, French, Spanish, Italian, Dutch; written as people write
# them, common practice. A word may stand in a longer one.
HAMSTRING_WORDS = (
    "hamstring", "hammy", "hammie", "left ham ", "right ham ", "hams ", "back of thigh", "back of the thigh",
    "biceps femoris",
    "oberschenkelrückseite", "hinterer oberschenkel", "hinteren oberschenkel", "hintere oberschenkel", "beinbeuger",
    "ischio", "arrière de la cuisse", "arriere de la cuisse", "derrière la cuisse", "derriere la cuisse",
    "isquio", "parte posterior del muslo", "detrás del muslo", "detras del muslo",
    "flessori della coscia", "flessore della coscia", "retro della coscia", "bicipite femorale",
    "achterkant bovenbeen", "achterkant dij",
)  # fmt: skip
NOTE_DAYS = 7  # days a note that names the hamstring asks to be read, common practice
HISTORY_SHOWN_WEEKS = 52  # weeks after a return during which the week is shown, source: "zein_2024"
PATTERN_DAYS = 28  # days a start-pattern note stays, common practice
HORIZON_DAYS = 7  # days after a flag in which an injury counts as having followed it, chosen beforehand, own rule
HISTORY_COMPARED_DAYS = 365  # days in which an earlier hamstring injury makes a flag of history alone, own rule
PLAN_AHEAD_DAYS = 7  # days ahead in which a planned maximal session counts, common practice

# Kinds of planned session that are maximal running when the plan gives no fast metres, common practice.
MAXIMAL_KINDS = ("top_speed", "race")

CUT_OFF_CONTEXT = "Published cut-offs in newtons come from other sports and are not used; own change and own sides are."
