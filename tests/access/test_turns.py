"""Pages are drawn few at once, in the order in which they were asked for."""

import threading
import time

from dashboard.access.turns import Turns

PATIENCE_S = 20.0


def wait_until(is_so) -> None:
    until = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < until
        time.sleep(0.005)


class People:
    """Threads that each take a turn and hold it until they are told to end."""

    def __init__(self, turns: Turns) -> None:
        self.turns = turns
        self.in_turn: list[int] = []
        self.ends: dict[int, threading.Event] = {}
        self.threads: list[threading.Thread] = []

    def ask(self, number: int) -> None:
        self.ends[number] = threading.Event()
        self.threads.append(threading.Thread(target=self._take, args=(number,)))
        self.threads[-1].start()
        wait_until(lambda: number in self.in_turn or len(self.turns._waiting) + len(self.in_turn) == len(self.threads))

    def _take(self, number: int) -> None:
        with self.turns.taken():
            self.in_turn.append(number)
            self.ends[number].wait(PATIENCE_S)

    def end_all(self) -> None:
        for end in self.ends.values():
            end.set()
        for thread in self.threads:
            thread.join(PATIENCE_S)


def test_places_are_given_in_the_order_in_which_they_were_asked_for():
    people = People(Turns(2, longest_s=PATIENCE_S))
    for number in range(6):
        people.ask(number)
    assert people.in_turn == [0, 1]
    for left, came in ((1, 2), (0, 3), (3, 4), (2, 5)):  # whoever leaves, the one who waited longest comes
        people.ends[left].set()
        wait_until(lambda came=came: came in people.in_turn)
    people.end_all()
    assert people.in_turn == [0, 1, 2, 3, 4, 5]


def test_who_waits_for_something_else_while_holding_a_turn_keeps_nobody():
    people = People(Turns(1, longest_s=0.2))
    for number in range(3):
        people.ask(number)
    began = time.monotonic()
    wait_until(lambda: len(people.in_turn) == 3)
    assert time.monotonic() - began < 5.0
    people.end_all()
    with people.turns.taken():
        assert len(people.turns._held) == 1  # nothing is left of those who came late
    assert not people.turns._held


def test_a_turn_that_ends_in_an_error_is_given_back():
    turns = Turns(1, longest_s=PATIENCE_S)
    try:
        with turns.taken():
            raise KeyError("a page that fails")
    except KeyError:
        pass
    began = time.monotonic()
    with turns.taken():
        assert time.monotonic() - began < 1.0
