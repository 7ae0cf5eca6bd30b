"""Draw the demo's film: a figure in the lane, a frame at a time, encoded by ffmpeg. Only when it is made anew."""

import hashlib
import json
import subprocess

import numpy as np
from PIL import Image, ImageDraw

from seed_data.film import FILM, FILM_PRINT_FILE
from seed_data.film.camera import LANE_M, Phone
from seed_data.film.marks import BEFORE_S, HEIGHT_PX, LAID, RATE_HZ, WIDTH_PX, at_hand, filmed_runs, phone_of
from seed_data.film.runner import ARM_M, joints_at, leaning, start_of
from seed_data.runs import timed_runs
from seed_data.weeks import sessions

TRACK, GRASS, SKY, LINE = "#a8563f", "#7c9470", "#cfdbe2", "#f1ece2"
NEAR_LIMB, FAR_LIMB, SHIRT, SKIN, CONE, BLOCKS = "#20262c", "#59626b", "#e9b949", "#c99a7b", "#e8e26a", "#3a3f45"
HAND_M, HANDS_GONE_S = -0.06, 0.12  # where the hands stand in set, and how long they take to be gone
PIECE = 8 * 2**20  # bytes; as the page takes a fingerprint


def draw() -> int:
    """Draw the film of the run that is kept at hand; return its frames."""
    run = at_hand(filmed_runs(timed_runs(sessions())))
    start, phone = start_of(run), phone_of(run)
    frames = int((BEFORE_S + start.lasts_s) * RATE_HZ)
    joints = joints_at(start, np.arange(frames) / RATE_HZ - BEFORE_S)
    ground = _ground(phone)
    command = ["ffmpeg", "-y", "-v", "error", "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{WIDTH_PX}x{HEIGHT_PX}",
               "-r", str(RATE_HZ), "-i", "-", "-c:v", "libx264", "-preset", "veryslow", "-crf", "30", "-g", "120",
               "-pix_fmt", "yuv420p", "-movflags", "+faststart", "-bitexact", str(FILM)]  # fmt: skip
    raw = b"".join(_picture(ground, phone, joints, frame).tobytes() for frame in range(frames))
    subprocess.run(command, input=raw, check=True)
    content = FILM.read_bytes()
    sums = [hashlib.sha256(content[at : at + PIECE]).digest() for at in range(0, len(content), PIECE)]
    told = {"bytes": len(content), "print": hashlib.sha256(b"".join(sums)).hexdigest()}
    FILM_PRINT_FILE.write_text(json.dumps(told) + "\n", encoding="utf-8")
    return frames


def _flat(phone: Phone, places: list[tuple[float, float, float]]) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in phone.see(np.array(places))]


def _ground(phone: Phone) -> Image.Image:
    picture = Image.new("RGB", (WIDTH_PX, HEIGHT_PX), SKY)
    paint, half = ImageDraw.Draw(picture), LANE_M / 2
    far, near = 40.0, -5.2
    paint.polygon(_flat(phone, [(-60, far, 0), (60, far, 0), (30, near, 0), (-30, near, 0)]), fill=GRASS)
    paint.polygon(_flat(phone, [(-60, 6.7, 0), (60, 6.7, 0), (30, near, 0), (-30, near, 0)]), fill=TRACK)
    for lane in range(-3, 6):
        across = (lane - 0.5) * LANE_M
        edges = [(-30, across - 0.025, 0), (30, across - 0.025, 0), (30, across + 0.025, 0), (-30, across + 0.025, 0)]
        paint.polygon(_flat(phone, [(float(a), b, float(c)) for a, b, c in edges]), fill=LINE)
    paint.polygon(_flat(phone, [(-0.05, -half, 0), (0.0, -half, 0), (0.0, half, 0), (-0.05, half, 0)]), fill=LINE)
    for along, line in LAID:
        across = half * (-1 if line == "near" else 1)
        paint.polygon(
            _flat(phone, [(along - 0.05, across, 0), (along + 0.05, across, 0), (along, across, 0.16)]), fill=CONE
        )
    for toe in (-0.52, -0.80):
        paint.polygon(_flat(phone, [(toe - 0.16, 0, 0), (toe + 0.02, 0, 0), (toe - 0.16, 0, 0.20)]), fill=BLOCKS)
    return picture


def _arm(shoulder: np.ndarray, lean: float, swing: float, time_s: float) -> tuple[np.ndarray, np.ndarray]:
    """Return elbow and hand: on the line in set, and swinging against the legs from 0.12 s after first movement."""
    elbow = shoulder + leaning(lean + 180 - 55 * swing, ARM_M)
    hand = elbow + leaning(lean + 265 - 55 * swing, 0.27)
    line = np.array([HAND_M, 0.0, 0.0])
    share = float(np.clip(time_s / HANDS_GONE_S, 0, 1))
    return (1 - share) * (shoulder + line) / 2 + share * elbow, (1 - share) * line + share * hand


def _picture(ground: Image.Image, phone: Phone, joints: dict[str, np.ndarray], frame: int) -> Image.Image:
    picture = ground.copy()
    paint = ImageDraw.Draw(picture)
    at = {name: places[frame] for name, places in joints.items()}
    thick = phone.focal / 7.0

    def limb(names: list[np.ndarray], colour: str, wide_m: float) -> None:
        seen = _flat(phone, [tuple(float(x) for x in one) for one in names])  # type: ignore[misc]
        radius = wide_m * thick / 2
        paint.line(seen, fill=colour, width=max(2, round(2 * radius)), joint="curve")
        for x, y in seen:
            paint.ellipse((x - radius, y - radius, x + radius, y + radius), fill=colour)

    trunk = at["shoulder"] - at["hip"]
    swing = np.clip((at["knee_0"] - at["knee_1"])[0] / 0.8, -1, 1)
    lean = float(np.degrees(np.arctan2(trunk[2], trunk[0])))
    for sign, colour in ((-1, FAR_LIMB), (1, None)):
        leg = 0 if sign == 1 else 1
        if colour is None:
            limb([at["hip"], at["shoulder"]], SHIRT, 0.19)
            head = at["shoulder"] + leaning(lean + 12, 0.26)
            limb([head], SKIN, 0.21)
        elbow, hand = _arm(at["shoulder"], lean, sign * swing, frame / RATE_HZ - BEFORE_S)
        limb([at["shoulder"], elbow, hand], colour or SKIN, 0.07)
        legs = [at["hip"], at[f"knee_{leg}"], at[f"ankle_{leg}"], at[f"toe_{leg}"]]
        limb(legs[:3], colour or NEAR_LIMB, 0.12)
        limb(legs[2:], colour or NEAR_LIMB, 0.07)
    return picture
