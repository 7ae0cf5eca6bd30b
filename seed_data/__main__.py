"""``python -m seed_data``: write the demo's files and their truth again."""

from seed_data.write import write

if __name__ == "__main__":
    print(f"{write()} files written")
