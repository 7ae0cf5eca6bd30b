"""What is pulled in runs that notes are of: 'Sled 20 m, 15 kg' holds for the lines below it, until 'Free 20 m'."""

PULLED = "resistance_load_kg"


def with_pulled(held: dict[str, str], said: dict[str, str]) -> dict[str, str]:
    """Return what holds below a line: what it says, and what held above it but a load where it says of resistance."""
    return {**{key: text for key, text in held.items() if key != PULLED or "resistance_kind" not in said}, **said}
