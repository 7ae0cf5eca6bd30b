"""Sources of knowledge for the area: load."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "foster_1998": Source(
        "Foster C. Monitoring training in athletes with reference to overtraining syndrome. "
        "Med Sci Sports Exerc 1998;30(7):1164-1168.",
        note="Load = session rating x minutes, monotony = daily mean / SD, strain = load x monotony. "
        "The abstract does not say n or n-1; we use n-1.",
    ),
    "foster_2001": Source(
        "Foster C et al. A new approach to monitoring exercise training. J Strength Cond Res 2001;15(1):109-115.",
    ),
    "wallace_2014": Source(
        "Wallace LK et al. J Strength Cond Res 2014;28(8):2330-2337.",
        note="Retest CV 28.1 % of the session rating in 10 people: one day's load is a rough figure.",
    ),
    "rabelo_2016": Source(
        "Rabelo FN et al. J Strength Cond Res 2016;30(1):134-140.",
        note="Coaches rate the same plan differently from players: a missing rating is never filled with the coach's.",
    ),
    "windt_gabbett_2019": Source(
        "Windt J, Gabbett TJ. Br J Sports Med 2019;53(16):988, reporting Lolli L et al. Br J Sports Med "
        "2019;53(15):921-922.",
        note="Why the ratio, where shown at all, does not hold the last week in its own denominator.",
    ),
    "impellizzeri_2020": Source(
        "Impellizzeri FM, McCall A, Ward P, Bornn L, Coutts AJ. J Athl Train 2020;55(9):893-901.",
        note="Load measures cannot tell whether their variation raises or lowers the risk of injury.",
    ),
    "impellizzeri_2021": Source(
        "Impellizzeri FM, Woodcock S, Coutts AJ, Fanchini M, McCall A, Vigotsky AD. Sports Med 2021;51:581-592.",
        note="Dividing by a fixed or random number 'predicted' about as well: the ratio is a description only.",
    ),
    "midrank_percentile": Source(
        "Percentile rank with ties counted half: 100 x (below + 0.5 x equal) / n.",
        strength="definition",
        read="memory",
        note="The same number as scipy.stats.percentileofscore(kind='mean').",
    ),
    "speed_timing_error": Source(
        "Own computation: 10 m at 10.20 m/s last 0.980 s, so 0.01 s moves the speed by 1.03 %; hand times (0.1 s "
        "class) cannot tell 90 % from 100 %.",
        strength="definition",
        read="source",
    ),
}
