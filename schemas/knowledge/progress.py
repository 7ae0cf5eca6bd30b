"""Sources of knowledge for the area: progress."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "durbin_koopman": Source(
        "Durbin & Koopman, Time Series Analysis by State Space Methods, chapter 2: the local-level model, its filter, "
        "smoother and diffuse start.",
        read="memory",
        note="Checked on their own example, the flow of the Nile.",
    ),
    "rauch_1965": Source(
        "Rauch, Tung, Striebel 1965, AIAA Journal 3:1445-1450: the smoother and the joint of two smoothed states.",
        read="memory",
    ),
    "von_neumann_1941": Source(
        "von Neumann, Kent, Bellinson, Hart 1941, Ann Math Stat 12:153-162: noise from the mean square successive "
        "difference, which a slow change hardly enters.",
        read="memory",
    ),
    "gauss_markov": Source(
        "Gauss-Markov theorem (Aitken 1935, Proc R Soc Edinburgh 55:42-48): the mean with the least error weighs "
        "values by the inverse of their variance.",
        read="memory",
    ),
    "patterson_thompson_1971": Source(
        "Patterson and Thompson 1971, Biometrika 58:545-554: variances from what is left beside the levels (restricted "
        "likelihood).",
        read="memory",
        note="Here of form that comes and goes within a month, beside day noise and athletes who change for good.",
    ),
    "dempster_1977": Source(
        "Dempster, Laird and Rubin 1977, J R Stat Soc B 39:1-38: expectation and maximisation.",
        read="memory",
        note="Here for how frequent which lasting change is in the squad.",
    ),
    "huber_1964": Source(
        "Huber 1964, Ann Math Stat 35:73-101: a scale from squares that are capped (proposal 2).",
        read="memory",
    ),
    "yohai_1987": Source(
        "Yohai 1987, Ann Stat 15:642-656: a scale that withstands many wild values, then an efficient second step.",
        read="memory",
    ),
    "hampel_1974": Source(
        "Hampel 1974, J Am Stat Assoc 69:383-393: the influence curve; a value far from the median is drawn in.",
        read="memory",
    ),
    "hopkins_2000": Source(
        "Hopkins 2000, Sports Med 30:1-15: typical error as the SD of the differences of repeats over sqrt 2.",
    ),
    "weir_2005": Source(
        "Weir 2005, J Strength Cond Res 19:231-240: smallest difference that is real, 1.96 sqrt 2 SEM.",
        note="Concept read in the abstract, formula from memory.",
    ),
    "hopkins_swc": Source(
        "Hopkins, teaching pages: smallest worthwhile change in a test as 0.2 of the spread between athletes.",
        read="secondary",
        note="A convention; the share is a setting.",
    ),
    "hopkins_hewson_2001": Source(
        "Hopkins & Hewson 2001, Med Sci Sports Exerc 33:1588-1592: 0.3 of the athlete's own variation as the smallest "
        "worthwhile change.",
        note="Used only where fewer than four athletes give no spread.",
    ),
    "hopkins_probability": Source(
        "Hopkins 2004, Sportscience: chance that a true change exceeds the smallest worthwhile one.",
        read="memory",
        note="Here with the model's own prior on change, so that regression to the mean is counted.",
    ),
    "barnett_2005": Source("Barnett, van der Pols, Dobson 2005, Int J Epidemiol 34:215-220: regression to the mean."),
    "laird_ware_1982": Source(
        "Laird & Ware 1982, Biometrics 38:963-974: random effects for repeated measures, and their predictions.",
        read="memory",
        note="Each athlete's own line is drawn towards the squad's, the more so the fewer days it rests on.",
    ),
    "bates_2015": Source(
        "Bates, Maechler, Bolker, Walker 2015, J Stat Softw 67(1):1-48: profiled likelihood of linear mixed models, "
        "and what a singular fit is.",
        read="memory",
        note="Checked against their program's printed results on a published data set of growing pigs.",
    ),
}
