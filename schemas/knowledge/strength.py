"""Sources of knowledge for the area: strength."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "brzycki_1993": Source(
        "Brzycki M. Strength testing: predicting a one-rep max from reps-to-fatigue. JOPERD 1993;64(1):88-90.",
        read="secondary",
        note="1RM = 36 w / (37 - r). Chosen because it gives the load itself for a single, so a trend over singles and "
        "fives holds no step of the formula's own.",
    ),
    "epley_1985": Source("Epley B. Poundage chart. 1985: w (1 + r/30).", read="secondary"),
    "lander_1985": Source("Lander J. 1985: 100 w / (101.3 - 2.67123 r).", read="secondary"),
    "lombardi_1989": Source("Lombardi VP. 1989: w r^0.10.", read="secondary"),
    "oconner_1989": Source("O'Conner B et al. 1989: w (1 + 0.025 r).", read="secondary"),
    "wathan_1994": Source("Wathan D. 1994: 100 w / (48.8 + 53.8 exp(-0.075 r)).", read="secondary"),
    "mayhew_1992": Source("Mayhew JL et al. 1992: 100 w / (52.2 + 41.9 exp(-0.055 r)).", read="secondary"),
    "reynolds_2006": Source(
        "Reynolds JM, Gordon TJ, Robergs RA. J Strength Cond Res 2006;20(3):584-592.",
        note="No more than 10 repetitions; the fewer the better.",
    ),
    "lesuer_1997": Source(
        "LeSuer DA et al. J Strength Cond Res 1997;11(4):211-213.",
        read="memory",
        note="Most formulas were built on the bench press; deadlift-type lifts are underestimated.",
    ),
    "nsca_chart": Source(
        "NSCA chart of %1RM by repetitions, 1 to 10: 100, 95, 93, 90, 87, 85, 83, 80, 77, 75.", read="secondary"
    ),
    "jaric_2002": Source(
        "Jaric S. Muscle strength testing: use of normalisation for body size. Sports Med 2002;32(10):615-631.",
        note="Exponent 0.67 of body mass for force. For ranking between athletes only.",
    ),
    "bishop_2016": Source(
        "Bishop C et al. Strength Cond J 2016;38(6):27-32.",
        note="Nine formulas for a difference between sides; it counts only beyond the spread within a side.",
    ),
    "bishop_2018": Source(
        "Bishop C et al. Strength Cond J 2018;40(4):1-6.", note="The '15 % means risk' rule lacks prospective support."
    ),
    "normal_order": Source(
        "Mean and variance of the largest of n standard normal values (order statistics), by numerical integration; "
        "tables: Teichroew, Ann Math Stat 1956;27:410-426.",
        strength="definition",
        read="memory",
    ),
    "successive_difference": Source(
        "von Neumann J et al. The mean square successive difference. Ann Math Stat 1941;12:153-162.",
        read="memory",
        note="Equivalent degrees of freedom of a series of m tests: 2 (m - 1)^2 / (3 m - 4).",
    ),
    "free_fall": Source(
        "Height from time in the air: half of it is a fall from rest, h = g t^2 / 8.",
        strength="definition",
        read="source",
    ),
    "louder_2021": Source(
        "Louder T et al. Sports 2021;9:97.",
        note="Reactive strength indices of different definitions do not interchange.",
    ),
    "dalleau_2004": Source(
        "Dalleau G et al. Int J Sports Med 2004;25(3):170-176.",
        read="memory",
        note="Hop stiffness from contact and flight time; the same number as the half-sine force model, derived.",
    ),
    "morin_2005": Source(
        "Morin JB et al. A method for measuring stiffness during running. J Appl Biomech 2005;21:167-180.",
        note="Half-sine force during contact; equations from memory, derived again.",
    ),
    "marshall_1971": Source(
        "Marshall WA. Evaluation of growth rate in height over periods of less than one year. Arch Dis Child 1971;46:"
        "414-420.",
        read="memory",
        note="Growth over less than a year hangs on the season and on the error of two readings.",
    ),
    "ulijaszek_kerr_1999": Source(
        "Ulijaszek SJ, Kerr DA. Anthropometric measurement error and the assessment of nutritional status. Br J Nutr "
        "1999;82:165-177.",
        read="memory",
        note="A height read again by the same person differs by about 0.4 cm (technical error).",
    ),
    "malina_koziel_2014": Source(
        "Malina RM, Koziel SM. Validation of maturity offset in a longitudinal sample of Polish boys. J Sports Sci "
        "2014;32:424-437.",
        read="memory",
        note="Equations for the time to peak growth lean to the mean: early maturers read late, late ones early.",
    ),
}
