"""Lots for a trial of two ways to start: which run is run how, drawn so that anybody can draw it again."""

import hashlib
import secrets
from collections.abc import Mapping, Sequence
from math import comb

from pipelines.derived.start.trial import LEAST_DEALINGS
from pipelines.errors import ThirdstepError

MOST_SEED = 999_999
SESSIONS, RUNS = (2, 40), (2, 20)  # sessions of a trial, runs of a session: what may be asked for


def new_seed() -> int:
    """Return a seed that nobody chose."""
    return 1 + secrets.randbelow(MOST_SEED)


def draw_lots(sessions: int, runs: int, seed: int | None = None) -> list[dict[str, int | str]]:
    """Return which way each run of a trial is run: in every session as many of A as of B, in an order by lot.

    Without a seed one is taken that nobody chose.

    A session's runs are put in the order of SHA-256('seed|session|run'); the first half of them are A. Every order with
    as many of A as of B is as likely as any other over all seeds, which is what dealing the runs anew reckons with
    (``start_trial_result``). Source: fisher_1935 (randomisation within blocks).

    Raises:
        ThirdstepError: Fewer than two sessions or more than forty; an odd number of runs, under two or over twenty; or
            so few of both that chance could never be ruled out.
    """
    if not SESSIONS[0] <= sessions <= SESSIONS[1]:
        raise ThirdstepError(f"A trial has {SESSIONS[0]} to {SESSIONS[1]} sessions, not {sessions}.")
    if not RUNS[0] <= runs <= RUNS[1] or runs % 2:
        raise ThirdstepError(f"A session has {RUNS[0]} to {RUNS[1]} runs, an even number, not {runs}.")
    ways = comb(runs, runs // 2) ** sessions
    if ways < LEAST_DEALINGS:
        raise ThirdstepError(
            f"{sessions} sessions of {runs} runs can be dealt in {ways} ways, and {LEAST_DEALINGS} are needed to rule "
            "chance out. Plan more sessions, or more runs in each."
        )
    seed = seed or new_seed()
    found: list[dict[str, int | str]] = []
    for session in range(1, sessions + 1):
        order = sorted(range(1, runs + 1), key=lambda run, s=session: _lot(seed, s, run))  # type: ignore[misc]
        of_a = set(order[: runs // 2])
        found += [
            {"trial_session": session, "trial_run": run, "way": "a" if run in of_a else "b", "seed": seed}
            for run in range(1, runs + 1)
        ]
    return found


def _lot(seed: int, session: int, run: int) -> str:
    return hashlib.sha256(f"{seed}|{session}|{run}".encode()).hexdigest()


def lots_as_sheet(rows: Sequence[Mapping[str, object]]) -> list[dict[str, object]]:
    """Return lots as they are run: a line a session, the ways in order ('A B B A'), as they hang beside the track."""
    by_session: dict[int, list[Mapping[str, object]]] = {}
    for row in rows:
        by_session.setdefault(int(str(row["trial_session"])), []).append(row)
    return [
        {
            "trial_session": f"Session {session}",
            "order": " ".join(
                str(one["way"]).upper() for one in sorted(some, key=lambda one: int(str(one["trial_run"])))
            ),
        }
        for session, some in sorted(by_session.items())
    ]
