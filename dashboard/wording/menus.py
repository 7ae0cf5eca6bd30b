"""Which pages stand together in a menu of the bar, and what the menus are called."""

MENUS: dict[str, tuple[str, ...]] = {
    "Starts": ("Two starts", "Film", "Drills", "What followed"),
    "Records": ("Data", "Hindsight", "People", "Methods"),
}


def menu_label(name: str, inside: str | None) -> str:
    """Name a menu, with the page of it that is open."""
    return f"{name}: {inside}" if inside else name
