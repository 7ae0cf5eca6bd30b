"""Families of common exercises by name, in many languages: what counts until the squad's own list says otherwise.

Names as they are stored: lower case, without accents, words joined by '_'. The languages of
``pipelines.cells.languages``; common practice, no source. An exercise of neither list has no family, and what rests
on families is then unknown.
"""

STARTER: dict[str, tuple[str, ...]] = {
    "hamstring_eccentric": (
        "nordic", "nordics", "nordic_curl", "nordic_hamstring", "nordic_hamstring_curl", "nordic_lowering",
        "eccentric_leg_curl", "eccentric_hamstring_curl", "sliding_leg_curl", "slider_leg_curl", "hamstring_slider",
        "razor_curl", "yoyo_leg_curl", "flywheel_leg_curl", "nordisk_hamstring",
        "nordische_beinbeuger", "nordische_beinbeugen", "exzentrische_beinbeuger", "exzentrisches_beinbeugen",
        "leg_curl_exzentrisch",
        "nordique", "ischios_nordiques", "leg_curl_excentrique", "ischios_excentriques",
        "curl_nordico", "nordico", "isquios_excentrico", "curl_femoral_excentrico",
        "nordico_femorali", "leg_curl_eccentrico", "femorali_eccentrici",
        "nordische_hamstring", "nordische_curl", "opuszczanie_nordyckie", "nordicka_flexe", "flexao_nordica",
    ),
    "hinge": (
        "romanian_deadlift", "rdl", "deadlift", "stiff_leg_deadlift", "trap_bar_deadlift", "good_morning", "hip_thrust",
        "single_leg_romanian_deadlift", "kreuzheben", "rumanisches_kreuzheben", "souleve_de_terre",
        "souleve_de_terre_roumain", "peso_muerto", "peso_muerto_rumano", "markloft", "rumensk_markloft",
        "dodloft", "marklyft", "stacco_da_terra", "stacco_rumeno",
        "roemeense_deadlift", "martwy_ciag", "rumunski_martwy_ciag", "martwy_ciag_rumunski", "mrtvy_tah",
        "rumunsky_mrtvy_tah", "peso_morto", "peso_morto_romeno", "levantamento_terra", "maastaveto",
        "romanialainen_maastaveto", "rumaensk_dodloft",
    ),
    "squat": (
        "squat", "back_squat", "front_squat", "split_squat", "bulgarian_split_squat", "half_squat", "step_up", "lunge",
        "kniebeuge", "kniebeugen", "ausfallschritt", "flexion_sur_jambes", "fente", "sentadilla", "zancada",
        "accosciata", "affondo", "kneboy", "frontboy", "utfall", "knabojning",
        "kniebuiging", "kniebuigingen", "przysiad", "przysiady", "przysiad_bulgarski", "wykroki", "wykrok", "drep",
        "drepy", "bulharsky_drep", "vypady", "agachamento", "agachamento_bulgaro", "afundo", "kyykky", "takakyykky",
        "etukyykky", "askelkyykky", "knaebojning",
    ),
    "hip_flexor": (
        "hip_flexion", "cable_hip_flexion", "band_hip_flexion", "huftbeuger", "flechisseurs_de_hanche",
        "flexores_de_cadera", "flessori_dell_anca",
    ),
    "calf_ankle": (
        "calf_raise", "seated_calf_raise", "single_leg_calf_raise", "soleus_raise", "wadenheben", "mollets",
        "elevacion_de_talones", "gemelos", "polpacci",
        "kuitheffen", "wspiecia_na_palce", "vypony", "elevacao_de_gemeos", "pohjenousu", "tahev", "tahavning",
    ),
    "jump": (
        "pogo_hop", "pogo", "pogos", "hurdle_hop", "hurdle_jump", "alternate_bound", "bounds", "drop_jump", "box_jump",
        "hurdensprunge", "sprunglauf", "foulees_bondissantes", "sauts_de_haies", "multisaltos", "balzi",
        "hordesprongen", "wieloskoki", "multissaltos", "loikat", "hekkehopp", "hackhopp",
    ),
    "upper": (
        "bench_press", "pull_up", "chin_up", "row", "overhead_press", "bankdrucken", "klimmzug", "developpe_couche",
        "traction", "press_banca", "dominadas", "panca_piana", "trazioni",
        "bankdrukken", "optrekken", "wyciskanie", "podciaganie", "shyby", "supino", "barra_fixa", "penkkipunnerrus",
        "leuanveto", "baenkpres", "benkpress", "bankpress",
    ),
    "trunk": (
        "plank", "hanging_leg_raise", "ab_wheel", "pallof_press", "unterarmstutz", "gainage", "plancha",
        "deska", "lankku", "plankan", "planke", "prancha",
    ),
}  # fmt: skip
FAMILY_OF: dict[str, str] = {name: family for family, names in STARTER.items() for name in names}
