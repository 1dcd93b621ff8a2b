"""Passwords: hashed at a cost, told apart by nothing but themselves, and not those that everybody tries."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.low_level import Type

from courtwright.desk.people import passwords
from courtwright.desk.people.guesses import Guesses
from courtwright.desk.people.passwords import hashed_password, is_outdated, is_right, require_good
from courtwright.errors import BusyError, InputError, TooManyError
from tests.company import Clock, quick_passwords

__all__ = ["quick_passwords"]


@pytest.mark.reference("rfc9106")
def test_the_costs_are_those_that_the_standard_recommends_where_memory_is_scarce() -> None:
    """Argon2id, three passes over 64 MiB in four lanes, a salt of 128 bits, a tag of 256."""
    found = extract_parameters(hashed_password("nine red kites over a wall"))
    assert (found.type, found.version) == (Type.ID, 0x13)
    assert (found.time_cost, found.memory_cost, found.parallelism) == (3, 64 * 1024, 4)
    assert (found.salt_len, found.hash_len) == (16, 32)


def test_a_hash_holds_for_its_password_alone(quick_passwords: None) -> None:
    """Two hashes of one password differ; both hold; nothing else does, nor does a hash that is none."""
    one, two = hashed_password("nine red kites"), hashed_password("nine red kites")
    assert one != two
    assert [is_right("nine red kites", kept) for kept in (one, two)] == [True, True]
    assert not is_right("nine red kites ", one)
    assert not is_right("nine red kites", None)
    assert not is_right("nine red kites", "no hash at all")
    assert "kites" not in one


def test_letters_typed_in_two_ways_are_the_same(quick_passwords: None) -> None:
    """An ñ is an ñ, whether a keyboard sends one sign or two."""
    assert is_right("contrasen\u0303a larga", hashed_password("contrase\u00f1a larga"))


def test_a_hash_of_older_costs_is_told(quick_passwords: None) -> None:
    """It still holds, and is made anew at the next chance."""
    older = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1).hash("nine red kites")
    assert is_right("nine red kites", older)
    assert is_outdated(older)
    assert not is_outdated(hashed_password("nine red kites"))


@pytest.mark.parametrize(
    ("password", "id"),
    [
        ("nine chars", None),
        ("too short", "desk.password-length"),
        ("x y" * 100, "desk.password-length"),
        ("Ana Ruiz Vega", "desk.password-known"),
        ("anaruizvega", "desk.password-known"),
        ("ana.ruiz@courts.example", "desk.password-known"),
        ("Ana.Ruiz.1", None),
        ("Password123", "desk.password-common"),
        ("qwertyuiop", "desk.password-common"),
        ("ababababab", "desk.password-common"),
    ],
)
def test_what_others_would_guess_is_refused(password: str, id: str | None) -> None:
    """Too short, too long, known of the person, or one of the first that everybody tries."""
    if id is None:
        assert require_good(password, "Ana Ruiz Vega", "ana.ruiz@courts.example") is None
        return
    with pytest.raises(InputError) as refused:
        require_good(password, "Ana Ruiz Vega", "ana.ruiz@courts.example")
    assert refused.value.problem.id == id
    assert password not in str(refused.value)


def test_two_are_hashed_at_once_and_a_crowd_is_sent_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many ask: the machine does two, eight wait, the others come again later."""
    now, most, lock = 0, 0, threading.Lock()

    class Slow:
        def hash(self, password: str) -> str:
            nonlocal now, most
            with lock:
                now, most = now + 1, max(most, now + 1)
            time.sleep(0.05)
            with lock:
                now -= 1
            return password

    monkeypatch.setattr(passwords, "_HASHER", Slow())

    def ask(n: int) -> str:
        try:
            return hashed_password(str(n))
        except BusyError:
            return "busy"

    with ThreadPoolExecutor(16) as pool:
        done = list(pool.map(ask, range(16)))
    assert most == 2
    assert 10 <= 16 - done.count("busy") < 16
    assert hashed_password("again") == "again"


# --- guesses ------------------------------------------------------------------------------------


def _free(guesses: Guesses, clock: Clock, emails: list[str]) -> int:
    """Return how many tries in a row, within one moment, are let through."""
    at, done = clock(), 0
    for email in emails:
        try:
            guesses.begin(email, at)
        except TooManyError:
            continue
        done += 1
    return done


def test_five_tries_at_once_are_free_for_one_address() -> None:
    """Many in parallel do not slip through: a try counts before it is looked at."""
    assert _free(Guesses(), Clock(), ["ana@x.example"] * 100) == 5
    assert _free(Guesses(), Clock(), ["ana@x.example", " ANA@x.example"] * 50) == 5


def test_twenty_tries_in_a_minute_are_free_for_all_addresses() -> None:
    """Trying one password with every address is a way of guessing, too; a minute later there are more."""
    guesses, clock = Guesses(), Clock()
    assert _free(guesses, clock, [f"{n}@x.example" for n in range(100)]) == 20
    clock.ahead(minutes=1)
    assert _free(guesses, clock, [f"{n}@y.example" for n in range(100)]) == 20


def test_a_right_one_is_forgotten() -> None:
    """Whoever signs in all day long never waits."""
    guesses, clock = Guesses(), Clock()
    for _ in range(50):
        guesses.begin("ana@x.example", clock())
        guesses.right("ana@x.example")
    assert _free(guesses, clock, ["ana@x.example"] * 9) == 5


def test_nobody_waits_longer_than_a_quarter_of_an_hour() -> None:
    """However often somebody guessed; and after a day without a try all is forgotten."""
    guesses, clock = Guesses(), Clock()
    for _ in range(40):
        clock.ahead(minutes=15)
        guesses.begin("ana@x.example", clock())
    with pytest.raises(TooManyError) as refused:
        guesses.begin("ana@x.example", clock())
    assert 890 <= refused.value.wait <= 900
    clock.ahead(days=1)
    assert _free(guesses, clock, ["ana@x.example"] * 9) == 5


def test_what_is_remembered_has_a_bound_and_no_address() -> None:
    """A million addresses do not fill the memory, and none can be read from it."""
    guesses, clock = Guesses(), Clock()
    for n in range(11_000):
        clock.ahead(minutes=2)
        guesses.begin(f"{n}@x.example", clock())
    remembered = guesses._by_email
    assert len(remembered) == 10_000
    assert not any("@" in key for key in remembered)
    assert "x.example" not in repr(guesses)
