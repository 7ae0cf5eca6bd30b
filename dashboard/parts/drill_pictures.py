"""Drawings of the library's drills: a few strokes each, our own. A drill that has none is words alone."""

from dataclasses import dataclass

from schemas.html import Markup, html, join_html

WIDE, HIGH, GROUND = 120, 80, 73


@dataclass(frozen=True)
class Drawing:
    """One figure: what it shows in words, the middle of its head, its strokes, and strokes that are thin or dashed."""

    shows: str
    head: tuple[int, int]
    strokes: tuple[str, ...]
    thin: tuple[str, ...] = ()
    dashed: tuple[str, ...] = ()
    ground: str = f"4,{GROUND} 116,{GROUND}"


# Points of lines, x and y, in a field of 120 by 80. An arrow is a line with its tip drawn as another one.
DRAWINGS: dict[str, Drawing] = {
    "falling_start": Drawing(
        "A straight body falls forward, one foot about to step.", (79, 20),
        ("38,72 54,51 73,27", "54,51 69,56 64,68", "70,31 62,46", "70,31 80,43"),
        ("90,26 98,38", "98,38 92,36", "98,38 98,31"),
    ),
    "sled_three_steps": Drawing(
        "A runner leans forward and pulls a sled on a line.", (83, 25),
        ("78,31 62,50", "62,50 76,55 70,70", "62,50 48,61 40,72", "76,34 86,44", "76,34 64,40"),
        ("62,50 24,66", "8,72 8,63 24,63 24,72"),
    ),
    "hill_start": Drawing(
        "A runner leans into a slope and pushes off behind.", (84, 20),
        ("79,26 62,44", "62,44 76,46 72,57", "62,44 48,56 41,66", "77,29 87,37", "77,29 66,34"), ground="4,76 116,45",
    ),
    "cable_knee_drive": Drawing(
        "Standing on one leg, the other knee lifts against a cable from behind.", (62, 14),
        ("62,20 62,45", "62,45 61,72", "62,45 79,44 76,58", "62,24 71,34 77,28", "62,24 54,35"),
        ("76,58 14,69", "10,73 10,58 18,58 18,73"),
    ),
    "quick_leave_march": Drawing(
        "A march: one knee is up before the other leg locks.", (62, 14),
        ("62,20 61,45", "61,45 55,58 52,72", "61,45 77,46 74,60", "62,24 71,34 77,27", "62,24 53,34 49,43"),
        ("46,66 46,56", "46,56 43,60", "46,56 49,60"),
    ),
    "set_and_hold": Drawing(
        "The set position, held still: hands down, hips a little over the shoulders.", (93, 41),
        ("84,44 55,36", "84,44 86,72", "55,36 66,54 50,64", "55,36 56,58 36,66"),
        ("44,72 50,62 53,72", "28,72 36,63 39,72"),
    ),
    "set_a_hand_higher": Drawing(
        "The set position with the hips a hand higher.", (93, 43),
        ("84,44 56,28", "84,44 86,72", "56,28 68,50 50,64", "56,28 57,55 36,66"),
        ("44,72 50,62 53,72", "28,72 36,63 39,72", "44,36 44,22", "44,22 41,27", "44,22 47,27"), ("52,38 62,38",),
    ),
    "stiff_hops": Drawing(
        "Small hops on straight legs, ankles firm.", (60, 10),
        ("60,16 60,40", "60,40 57,66 61,68", "60,40 62,66 66,68", "60,20 52,33", "60,20 68,33"),
        ("80,66 80,54", "80,54 77,58", "80,54 83,58", "40,54 40,66", "40,66 37,62", "40,66 43,62"),
    ),
    "straight_leg_bounds": Drawing(
        "Bounds on straight legs: the foot claws back under the hip.", (57, 12),
        ("57,18 58,44", "58,44 80,65 84,62", "58,44 46,70", "57,22 67,33 73,28", "57,22 48,33"),
        ("92,62 80,71", "80,71 86,71", "80,71 83,66"),
    ),
    "low_heel_steps": Drawing(
        "Running steps, the foot set down under the body, not ahead of it.", (66, 14),
        ("65,20 60,44", "60,44 66,58 60,71", "60,44 50,56 37,54", "64,24 74,33 80,28", "64,24 54,33"),
        ("76,56 76,69", "76,69 73,65", "76,69 79,65"),
    ),
    "nordic_lowering": Drawing(
        "Kneeling with the heels held, the straight body is lowered slowly.", (89, 38),
        ("30,70 52,71", "52,71 83,43", "79,47 88,55"),
        ("24,66 34,66", "29,66 29,60", "97,46 101,58", "101,58 96,55", "101,58 103,53"),
    ),
    "sliding_curl": Drawing(
        "On the back with the hips up, the heels slide away slowly.", (22, 66),
        ("28,69 56,54", "56,54 74,56 90,70", "30,70 46,72"), ("96,66 110,66", "110,66 106,63", "110,66 106,69"),
    ),
    "arms_from_the_shoulder": Drawing(
        "Standing, the arms swing from the shoulder: one hand at the chin, one at the hip.", (60, 13),
        ("60,19 60,46", "60,46 55,72", "60,46 65,72", "60,23 71,33 71,18", "60,23 48,33 51,46"),
    ),
    "eyes_on_the_line": Drawing(
        "A start: the eyes are where the third step lands, head in line with the back.", (76, 29),
        ("71,34 56,52", "56,52 70,58 63,71", "56,52 42,62 34,72", "69,37 79,47", "69,37 58,42"), ("104,68 104,73",),
        ("82,31 104,70",),
    ),
    "three_point_start_filmed": Drawing(
        "A start from three points, filmed from the side.", (72, 40),
        ("65,43 42,38", "65,43 68,72", "64,44 52,48", "42,38 52,55 40,70", "42,38 42,58 26,71"),
        ("98,72 103,56 108,72", "103,56 103,72", "97,47 109,47 109,56 97,56 97,47", "97,49 92,47 92,56 97,54"),
    ),
}  # fmt: skip


def drill_picture(drill: str) -> Markup:
    """Return the drawing of a drill, with words for who cannot see it; nothing where there is none."""
    drawing = DRAWINGS.get(drill)
    if drawing is None:
        return html("")
    lines = (
        *((points, "") for points in drawing.strokes),
        *((points, "thin") for points in (*drawing.thin, drawing.ground)),
        *((points, "thin dashed") for points in drawing.dashed),
    )
    return html(
        '<svg class="drawing" width="{}" height="{}" viewBox="0 0 {} {}" role="img" aria-label="{}">'
        '<circle cx="{}" cy="{}" r="5.5"/>{}</svg>',
        WIDE,
        HIGH,
        WIDE,
        HIGH,
        drawing.shows,
        *drawing.head,
        join_html(html('<polyline class="{}" points="{}"/>', kind, points) for points, kind in lines),
    )
