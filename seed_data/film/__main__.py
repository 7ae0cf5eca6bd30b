"""``python -m seed_data.film``: draw the demo's film again and write down how it is known again. Needs ffmpeg."""

from seed_data.film.drawing import draw

if __name__ == "__main__":
    print(f"{draw()} frames drawn")
