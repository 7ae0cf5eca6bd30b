"""Words of the sign-in page where a club has an own sign-in."""

OPENID_NONE = "This squad has no club sign-in. Sign in with your name and pass-phrase."
OPENID_NOT_READY = "The club’s sign-in cannot be reached just now. Sign in with your pass-phrase, or try again later."
OPENID_FAILED = "The club’s sign-in was not finished. Please try again."


def by_club(label: str) -> str:
    """Name the way in through the club's own sign-in."""
    return f"Sign in with {label}"
