"""Sources of knowledge for the area: sprint."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "furusawa_1927": Source(
        "Furusawa, Hill, Parkinson 1927, Proc R Soc Lond B 102:29-42: speed of sprint running rises "
        "exponentially to its ceiling.",
        read="memory",
    ),
    "henry_1951": Source("Henry, Trafton 1951, Res Q 22:409: the velocity curve of sprint running.", read="memory"),
    "volkov_1979": Source(
        "Volkov, Lapin 1979, Med Sci Sports 11:332-337: the velocity curve in sprint running.", read="memory"
    ),
    "samozino_2016": Source(
        "Samozino et al. 2016, Scand J Med Sci Sports 26:648-658: power, force, velocity of sprint running from "
        "position or speed.",
        note="Abstract read; equations, air density and the 0.3 s rule from memory. Against force plates within 5 %.",
    ),
    "morin_2019": Source(
        "Morin et al. 2019, J Biomech 94:82-87: replication against force plates in one whole sprint."
    ),
    "golub_pereyra_1973": Source(
        "Golub, Pereyra 1973, SIAM J Numer Anal 10:413-432: variable projection.", read="memory"
    ),
    "kaufman_1975": Source("Kaufman 1975, BIT 15:49-57: a simpler Jacobian for variable projection.", read="memory"),
    "birge_1932": Source(
        "Birge 1932, Phys Rev 40:207-227: widen errors by the root of chi square per degree of freedom.", read="memory"
    ),
    "student_1908": Source(
        "Student 1908, Biometrika 6:1-25: the error of a mean whose spread is estimated from few values.", read="memory"
    ),
    "james_stein_1961": Source(
        "James, Stein 1961, Proc 4th Berkeley Symp 1:361-379: the largest of several estimates is too large; all are "
        "drawn to their mean by what noise explains.",
        read="memory",
    ),
    "dubois_1916": Source(
        "Du Bois, Du Bois 1916, Arch Intern Med 17:863-871: body surface from mass and height.", read="secondary"
    ),
    "pugh_1971": Source(
        "Pugh 1971, J Physiol 213:255-276: frontal area is 0.266 of the body surface.", read="secondary"
    ),
    "arsac_2002": Source(
        "Arsac, Locatelli 2002, J Appl Physiol 92:1781-1788: air drag in the 100 m, coefficient 0.9.", read="secondary"
    ),
    "haugen_2012": Source(
        "Haugen, Tonnessen, Seiler 2012, J Strength Cond Res 26:473-479: 40 m times against block start and gun: hand "
        "release 0.17 (SD 0.09), photocell 0.27 (0.12), foot release 0.69 (0.11) s less.",
        note="Group corrections with their spread; never to compare an athlete between methods.",
    ),
    "child_reaction_1984": Source(
        "The development of simple acoustic reaction time in normal children, 1984, Dev Med Child Neurol 26:490-494: "
        "56 "
        "children of 4 to 14 years: mean 465 ms at five, 190 ms at fifteen, linear in the logarithms; adult from 16.",
        note="Abstract read, which names no authors. A key pressed with a finger, not a start: half of what a child is "
        "later is reckoned as doubt.",
    ),
    "earp_newton_2012": Source(
        "Earp, Newton 2012, J Strength Cond Res 26:1245-1249: light-gate systems differ by 9-17 ms in the mean.",
    ),
    "flying_distance_2024": Source(
        "Sensors 2024, 24(9):2894, and Comput Methods Biomech Biomed Engin 2024, 27(2):145-155: profiles with an "
        "estimated time offset or flying distance.",
        note="Corrected models are less biased, uncorrected ones see changes of some values better.",
    ),
    "healy_2022": Source(
        "Healy, Kenny, Harrison 2022, J Sport Health Sci 11:75-84: the exponential model against split times of 82 "
        "sprinters: within 0.2 %, but 1.6 % (SD 1.3) late at 10 m.",
    ),
    "haugen_2019": Source(
        "Haugen, Breitschaedel, Seiler 2019, PLoS ONE 14(7):e0215551: 40 m splits of national-team athletes.",
        read="secondary",
    ),
    "haugen_2020": Source(
        "Haugen, Breitschaedel, Samozino 2020, J Strength Cond Res 34:1769-1773: three gates at 10, 20 "
        "and 30 m are enough; none beyond 20 m overstates F0."
    ),
    "di_prampero_2005": Source("di Prampero et al. 2005, J Exp Biol 208:2809-2816: sprint running, a new approach."),
    "graubner_nixdorf_2011": Source(
        "Graubner, Nixdorf 2011, New Studies in Athletics 26(1/2):19-53: sprints at the 2009 world championships.",
        read="secondary",
    ),
    "cahill_2019": Source(
        "Cahill et al. 2019, Sports 7(5):119: sled pulls of 70 young athletes: speed falls linearly "
        "with load, slope repeatable to 3.1 %."
    ),
    "cahill_2020": Source(
        "Cahill et al. 2020, J Strength Cond Res 34:2751: 44, 89 and 133 % of body mass gave 25, 50 and 75 % slow-down."
    ),
    "petrakos_2016": Source(
        "Petrakos, Morin, Egan 2016, Sports Med 46:381-400: classes of sled load by slow-down.",
        note="The heavy class (15-29.9 %) is inferred from the gap between those read.",
    ),
    "cross_2017": Source(
        "Cross et al. 2017, Int J Sports Physiol Perform 12:1069-1077: power is greatest near half of "
        "the speed ceiling."
    ),
    "mureika_2001": Source(
        "Mureika 2001, Can J Phys 79:697-713: wind and altitude correction of 100 m times.",
        read="secondary",
        note="Formula from memory; its effects agree with Linthorne 1994.",
    ),
    "linthorne_1994": Source("Linthorne 1994, J Appl Biomech 10:110-131: effect of wind on 100 m times."),
    "wa_combined_tables": Source(
        "World Athletics scoring tables for combined events: points = INT[A (B - T)^C].",
        strength="standard",
        read="secondary",
        note="Men's 60 m and women's 400 m coefficients from memory.",
    ),
    "wa_technical_rules": Source(
        "World Athletics technical rules: wind limit 2.0 m/s, reaction 0.100 s, rounding of times.",
        strength="standard",
        read="memory",
    ),
    "hand_time_convention": Source(
        "Convention of the sport: hand times count 0.24 s slower (0.14 s over 400 m) against automatic ones.",
        strength="common practice",
        read="secondary",
        note="A convention, not a measurement.",
    ),
}
