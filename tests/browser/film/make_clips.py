"""Make the film clips again, one an oddity. Needs ffmpeg, which the tests do not: the clips are in the project.

``python -m tests.browser.film.make_clips``. Every frame carries its number as a 16-bit code, its inverse below, so
that a frame shown wrongly is seen to be wrong. ``clips.json`` holds what ffmpeg's own demuxer and decoder say of each
clip: the time of every frame in the order of showing and the code on it.
"""

import json
import struct
import subprocess
from pathlib import Path

import numpy as np

CLIPS = Path(__file__).parent / "clips"
WIDTH, HEIGHT, BITS = 216, 120, 16
X264 = ["-preset", "veryslow", "-crf", "34", "-pix_fmt", "yuv420p"]


def picture(number: int) -> np.ndarray:
    """Draw a frame: a moving wave, its number in 16 cells and their inverse along the top."""
    across, down = np.arange(WIDTH)[None, :], np.arange(HEIGHT)[:, None]
    drawn = 128 + 40 * np.sin((across + 5 * number) / 23.0) * np.cos(down / 31.0)
    cell, band = WIDTH // (BITS + 2), HEIGHT // 10
    drawn[: 2 * band, :] = 128
    for bit in range(BITS):
        is_on = (number >> (BITS - 1 - bit)) & 1
        columns = slice((bit + 1) * cell, (bit + 2) * cell)
        drawn[:band, columns] = 235 if is_on else 20
        drawn[band : 2 * band, columns] = 20 if is_on else 235
    return np.clip(drawn, 0, 255).astype(np.uint8)


def code_of(grey: np.ndarray) -> int:
    """Read the number of a frame off its cells; -1 where a cell and its inverse do not differ."""
    cell, band = WIDTH // (BITS + 2), HEIGHT // 10
    number = 0
    for bit in range(BITS):
        column = int((bit + 1.5) * cell)
        on, off = int(grey[band // 2, column]), int(grey[band + band // 2, column])
        if abs(on - off) < 60:
            return -1
        number = number * 2 + (on > off)
    return number


def film(name: str, frames: int, rate: str, *more: str, codec: str = "libx264", filters: str = "") -> None:
    """Encode so many numbered frames."""
    command = ["ffmpeg", "-y", "-v", "error", "-f", "rawvideo", "-pix_fmt", "gray", "-s", f"{WIDTH}x{HEIGHT}",
               "-r", rate, "-i", "-", *(["-vf", filters] if filters else []), "-c:v", codec,
               *(X264 if codec == "libx264" else ["-pix_fmt", "yuv420p"]), *more, "-bitexact",
               str(CLIPS / name)]  # fmt: skip
    subprocess.run(command, input=b"".join(picture(n).tobytes() for n in range(frames)), check=True)


def recut(source: str, name: str, before: list[str], after: list[str]) -> None:
    """Copy a clip without encoding it again."""
    command = [
        "ffmpeg",
        "-y",
        "-v",
        "error",
        *before,
        "-i",
        str(CLIPS / source),
        *after,
        "-bitexact",
        str(CLIPS / name),
    ]
    subprocess.run(command, check=True)


def turn_on_its_side(name: str) -> None:
    """Write a turn by 90 degrees into the track header, as a phone held upright does (ISO/IEC 14496-12, tkhd)."""
    content = bytearray((CLIPS / name).read_bytes())
    at = content.index(b"tkhd") + 4 + 40
    content[at : at + 36] = struct.pack(">9i", 0, 1 << 16, 0, -(1 << 16), 0, 0, HEIGHT << 16, 0, 1 << 30)
    (CLIPS / name).write_bytes(content)


def told_by_ffmpeg(name: str) -> dict[str, object]:
    """Return what ffmpeg says of a clip: time of each frame, code on it."""
    asked = ["ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "frame=pts_time", "-of", "csv=p=0"]
    times = subprocess.run([*asked, str(CLIPS / name)], capture_output=True, text=True, check=False).stdout.split()
    decode = ["ffmpeg", "-v", "error", "-noautorotate", "-i", str(CLIPS / name), "-f", "rawvideo", "-pix_fmt", "gray",
              "-fps_mode", "passthrough", "-"]  # fmt: skip
    raw = subprocess.run(decode, capture_output=True, check=False).stdout
    grey = np.frombuffer(raw, np.uint8).reshape(-1, HEIGHT, WIDTH)
    return {"times": [float(text.strip(",")) for text in times], "codes": [code_of(one) for one in grey]}


def make_all() -> None:
    """Make every clip and what is to be found in it."""
    CLIPS.mkdir(exist_ok=True)
    ticks = ["-enc_time_base", "1/90000", "-video_track_timescale", "90000", "-fps_mode", "passthrough"]
    film("plain_30.mp4", 60, "30", "-bf", "0", "-g", "30")
    film("b_frames_60.mp4", 120, "60", "-bf", "3", "-g", "60")
    film("quicktime_120.mov", 120, "120", "-bf", "2", "-g", "60")
    film("long_group_240.mp4", 240, "240", "-bf", "3", "-g", "240", "-b_strategy", "0")
    film("ntsc_240.mp4", 240, "240000/1001", "-bf", "2", "-g", "120")
    film("variable_240.mp4", 240, "240", "-bf", "2", "-g", "60", *ticks,
         filters="settb=1/90000,setpts='(N+floor(N/37)+0.2*sin(N*1.7))/240/TB'")  # fmt: skip
    film("slow_as_30.mp4", 120, "30", "-bf", "2", "-g", "60")
    film("slow_says_240.mp4", 120, "30", "-bf", "0", "-g", "30", "-movflags", "use_metadata_tags",
         "-metadata", "com.android.capture.fps=240.000000")  # fmt: skip
    film("two_speeds.mp4", 200, "240", "-bf", "2", "-g", "60", *ticks, filters=(
        "settb=1/90000,setpts='if(lt(N,60),N/240,if(lt(N,140),0.25+(N-60)/30,2.91667+(N-140)/240))/TB'"))  # fmt: skip
    film("rotated_240.mp4", 60, "240", "-bf", "2", "-g", "30")
    turn_on_its_side("rotated_240.mp4")
    film("fragments_240.mp4", 120, "240", "-bf", "2", "-g", "40", "-movflags", "frag_keyframe+empty_moov")
    film("open_group_240.mp4", 180, "240", "-bf", "3", "-g", "40", "-x264-params", "open-gop=1",
         "-movflags", "+faststart")  # fmt: skip
    film("vp9_240.mp4", 120, "240", "-b:v", "0", "-crf", "50", "-g", "60", "-auto-alt-ref", "1", "-lag-in-frames", "16",
         codec="libvpx-vp9")  # fmt: skip
    film("av1_240.mp4", 96, "240", "-b:v", "0", "-crf", "55", "-g", "48", "-cpu-used", "6", codec="libaom-av1")
    film("hevc_240.mp4", 96, "240", "-preset", "ultrafast", "-crf", "38", "-tag:v", "hvc1", "-x265-params",
         "log-level=error:keyint=48:bframes=3", codec="libx265")  # fmt: skip
    recut("long_group_240.mp4", "cut_by_edit_list.mp4", ["-ss", "0.30"], ["-c", "copy"])
    recut("open_group_240.mp4", "with_sound.mp4", ["-f", "lavfi", "-i", "sine=300:d=0.5"],
          ["-map", "1:v", "-map", "0:a", "-c:v", "copy", "-c:a", "aac", "-b:a", "24k"])  # fmt: skip
    recut("with_sound.mp4", "sound_only.mp4", [], ["-map", "0:a", "-c", "copy"])
    recut("plain_30.mp4", "other_box.webm", [], ["-c:v", "libvpx-vp9", "-b:v", "0", "-crf", "55"])
    whole = (CLIPS / "open_group_240.mp4").read_bytes()
    (CLIPS / "end_missing.mp4").write_bytes(whole[: int(len(whole) * 0.7)])
    plain = (CLIPS / "plain_30.mp4").read_bytes()
    (CLIPS / "half_a_film.mp4").write_bytes(plain[: len(plain) // 2])
    (CLIPS / "nothing.mp4").write_bytes(b"")
    subprocess.run(["ffmpeg", "-y", "-v", "error", "-i", str(CLIPS / "plain_30.mp4"), "-frames:v", "1",
                    "-bitexact", str(CLIPS / "screenshot.png")], check=True)  # fmt: skip
    silent = {"sound_only.mp4", "half_a_film.mp4", "nothing.mp4", "screenshot.png", "other_box.webm"}
    told = {path.name: told_by_ffmpeg(path.name) for path in sorted(CLIPS.glob("*.m*")) if path.name not in silent}
    (CLIPS / "clips.json").write_text(json.dumps(told, separators=(",", ":")), encoding="utf-8")


if __name__ == "__main__":
    make_all()
