"""The sentences over the weekly sheet."""

NUMBER_WORDS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
)  # fmt: skip


def say_many(count: int) -> str:
    """Write a count: in words up to twenty, in digits from 21."""
    return NUMBER_WORDS[count] if count < len(NUMBER_WORDS) else str(count)


def _start_sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def say_planned(athletes: int, as_planned: int) -> str:
    """Say how many can train as planned."""
    if athletes == 0:
        return "Nobody is on the sheet."
    if athletes == 1:
        return f"The one athlete on the sheet {'can' if as_planned else 'cannot'} train as planned."
    if as_planned == athletes:
        return f"All {say_many(athletes)} can train as planned."
    return _start_sentence(f"{say_many(as_planned)} of {say_many(athletes)} can train as planned")


def say_exceptions(adapt: int, talk_first: int, no_call: int) -> str:
    """Say who cannot train as planned; empty when everybody can."""
    parts = []
    if adapt:
        parts.append(f"{say_many(adapt)} {'wants' if adapt == 1 else 'want'} a change")
    if talk_first:
        verb = "" if adapt else " wants" if talk_first == 1 else " want"
        parts.append(f"{say_many(talk_first)}{verb} a talk before they run")
    if no_call:
        parts.append(f"{say_many(no_call)} {'has' if no_call == 1 else 'have'} not reported")
    if not parts:
        return ""
    if len(parts) == 3:
        return _start_sentence(f"{parts[0]}, {parts[1]}, and {parts[2]}")
    return _start_sentence(" and ".join(parts))


def say_starts(improving: int | None, slipping: int | None) -> str:
    """Say how many starts changed beyond noise; null: no start has a series yet."""
    if improving is None or slipping is None:
        return "No start can be judged yet."
    beyond = "than measurement noise can explain"
    if not improving and not slipping:
        return f"No start is surely faster or slower {beyond}."
    count, way, rest = (improving, "faster", slipping) if improving else (slipping, "slower", 0)
    said = f"{say_many(count)} {'start is' if count == 1 else 'starts are'} {way} {beyond}"
    if rest:
        said += f", and {say_many(rest)} {'is' if rest == 1 else 'are'} slower"
    return _start_sentence(said)


def say_lede(
    *,
    athletes: int,
    as_planned: int,
    adapt: int,
    talk_first: int,
    no_call: int,
    improving: int | None,
    slipping: int | None,
) -> str:
    """Put the sentences together: who can train, who cannot, whose start has changed."""
    said = [
        say_planned(athletes, as_planned),
        say_exceptions(adapt, talk_first, no_call),
        say_starts(improving, slipping) if athletes else "",
    ]
    return " ".join(text for text in said if text)
