"""Sources of knowledge for the area: start."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "fisher_1935": Source(
        "Fisher 1935, The Design of Experiments, chapters 2 and 3: a difference held against all ways in which the lot "
        "could have fallen, within blocks.",
        read="memory",
    ),
    "frame_quantisation": Source(
        "An event seen in the first frame after it happened is late by a uniform error on one frame; the difference of "
        "two such events has the standard deviation 1 / (frame rate * sqrt 6).",
        strength="definition",
        read="source",
        note="Contact and the flight after it share an event: correlation -0.5.",
    ),
    "step_length_error": Source(
        "Common practice, no source: a touchdown read off video against marks on the track is good to about 0.03 m.",
        strength="common practice",
        read="memory",
        note="A 2025 comparison of 60 Hz phone video with a floor beam gives limits of agreement of 0.10 m a step.",
    ),
    "video_operator_error": Source(
        "Common practice, no source: two people marking the same clip differ by about one frame either way.",
        strength="common practice",
        read="memory",
    ),
    "video_contact_bias": Source(
        "A comparison between common measurement systems for quantifying spatiotemporal variables during the early "
        "sprint acceleration phase, 2025, Int J Sports Sci Coaching, doi 10.1177/17479541251333937.",
        note="99 students; film at 200 Hz read contacts 5 to 10 ms longer and flights 5 to 7 ms shorter than a force "
        "plate, random error 9 to 21 ms and 8 to 10 ms. The authors are not named in what was read.",
    ),
    "camera_from_lane_marks": Source(
        "Hartley and Zisserman 2004, Multiple View Geometry in Computer Vision, 2nd ed.; Zhang 2000, IEEE Trans. "
        "Pattern Anal. Mach. Intell. 22:1330-1334: a camera from points of one plane, with its covariance.",
        read="memory",
        note="A pinhole with square pixels; the bend of the lens is not corrected.",
    ),
    "angle_error": Source(
        "Two points read to 1.5 pixels on a shank 80 pixels long give an angle good to 1.5 degrees.",
        strength="definition",
        read="source",
    ),
    "ettema_2016": Source(
        "Ettema, McGhie, Danielsen, Sandbakk, Haugen 2016, PLoS ONE 11:e0159701: contact, flight and "
        "step length follow "
        "a continuous exponential over the steps of a sprint.",
        note="24 sprinters; transitions found in mean curves were mostly absent in single athletes.",
    ),
    "debaere_2013": Source(
        "Debaere, Jonkers, Delecluse 2013, J Strength Cond Res 27:116-124: step frequency by phase of a sprint.",
        note="Phase means: 0-10 m is 97.8 % (men) and 97.5 % (women) of the highest phase mean.",
    ),
    "coh_2018": Source(
        "Coh, Hebert-Losier, Stuhec, Babic, Supej 2018, Kinesiology 50:172: one athlete at highest speed.",
        note="Printed step length times frequency misses the printed speed by 3 %.",
    ),
    "valamatos_2022": Source(
        "Valamatos et al. 2022, review of the block start and the first steps: lengths, contacts, flights.",
        read="secondary",
    ),
    "ciacci_2017": Source(
        "Ciacci, Merni, Bartolomei, Di Michele 2017, J Sports Sci 35:1270-1278: start kinematics of world-class and "
        "elite sprinters.",
        read="secondary",
        note="Better starters had longer first contacts and shorter first flights: between athletes, not "
        "an instruction.",
    ),
    "start_heavy_sled_2017": Source(
        "Morin et al. 2017, Int J Sports Physiol Perform 12:840: training with very heavy sleds, a pilot study of 16.",
    ),
    "start_heavy_sled_2020": Source(
        "Cahill et al. 2020, J Strength Cond Res 34:2751: eight weeks of sleds in youth; the heavy group gained most "
        "over the first 10 m and lost some top speed.",
    ),
    "start_eccentric_2011": Source(
        "Petersen et al. 2011, Am J Sports Med 39:2296-2303: eccentric hamstring work and hamstring injuries in "
        "football, 942 men.",
        note="Later reviews call the pooled evidence inconclusive; nothing of the kind exists for sprinters.",
    ),
}
