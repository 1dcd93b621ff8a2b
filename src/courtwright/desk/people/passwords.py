"""Passwords: what may be one, and its argon2id hash, which costs time and memory on purpose.

No more than two are hashed at once, and who comes while several wait is sent away for a moment: a crowd of guessers
must not take the whole machine.
"""

from __future__ import annotations

import contextlib
import functools
import threading
import unicodedata
from collections.abc import Generator
from importlib.resources import files

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from courtwright.errors import BusyError, InputError
from courtwright.says import say

#: Fewest and most letters. [-]
LEAST, MOST = 10, 200

#: RFC 9106, the second recommended choice: argon2id, 64 MiB, three passes.
_HASHER = PasswordHasher()
_AT_ONCE, _IN_LINE = threading.BoundedSemaphore(2), threading.BoundedSemaphore(10)

_COMMON = "common_passwords.txt"


def require_good(password: str, *known: str) -> None:
    """Refuse a password that somebody would guess.

    Parameters
    ----------
    password : str
        As typed.
    known : str
        What others know of the person: the name, the email address, the company.

    Raises
    ------
    InputError
        If it is too short or too long, one of those, or one that everybody tries.
    """
    if not LEAST <= len(password) <= MOST:
        raise _refused("password-length", least=LEAST, most=MOST)
    folded = _folded(password)
    told = {_folded(one) for one in known} | {_folded(one.partition("@")[0]) for one in known}
    if folded in told:
        raise _refused("password-known")
    if folded in _common() or len(set(folded)) < 3:
        raise _refused("password-common")


@functools.cache
def _common() -> frozenset[str]:
    """Return what everybody tries first, of ten letters and more. From memory: of a kind, not a list of leaks."""
    return frozenset(files("courtwright.desk.people").joinpath(_COMMON).read_text(encoding="utf-8").split())


def _refused(id: str, **values: object) -> InputError:
    return InputError(say(f"desk.{id}", **values), where="password", fix=say("desk.password-do"))


def _folded(text: str) -> str:
    return "".join(unicodedata.normalize("NFKC", text).casefold().split())


def hashed_password(password: str) -> str:
    """Return the argon2id hash of a password, its salt and costs within.

    Raises
    ------
    BusyError
        If too many wait for theirs.
    """
    with _turn():
        return _HASHER.hash(_typed(password))


def is_right(password: str, password_hash: str | None) -> bool:
    """Tell whether a password is the one of a hash; where there is none it is not, and telling takes as long.

    Raises
    ------
    BusyError
        As `hashed_password` does.
    """
    with _turn():
        if password_hash is None:
            _HASHER.hash(_typed(password))
            return False
        try:
            return _HASHER.verify(password_hash, _typed(password))
        except (VerificationError, InvalidHashError):
            return False


def is_outdated(password_hash: str) -> bool:
    """Tell whether a hash was made with costs other than today's."""
    return _HASHER.check_needs_rehash(password_hash)


def _typed(password: str) -> str:
    # The same keys give the same letters on every keyboard and system.
    return unicodedata.normalize("NFKC", password)


@contextlib.contextmanager
def _turn() -> Generator[None, None, None]:
    if not _IN_LINE.acquire(blocking=False):
        raise BusyError(say("desk.passwords-busy"), fix=say("desk.passwords-busy-do"))
    try:
        with _AT_ONCE:
            yield
    finally:
        _IN_LINE.release()
