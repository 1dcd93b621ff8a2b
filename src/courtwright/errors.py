"""Everything that can go wrong, as one tree.

::

    CourtwrightError                 code "error"
    ├── CallError                    "call"           the command or its arguments are wrong   (exit 2)
    ├── InputError (ValueError)      "input"          nothing is left to compute               (exit 3)
    │   ├── ArchiveError             "archive"        an archive that must not be opened
    │   ├── QuantityError            "quantity"       a quantity that nobody can read
    │   ├── EnvelopeError            "envelope"       bytes of a walk that are not what was sent
    │   └── TooLargeError            "too-large"      more bytes than are taken at once
    ├── OutOfRangeError (ValueError) "out-of-range"   a number outside a method's validity
    ├── TradeDataError (ValueError)  "trade-data"     a TOML file of the trade is wrong
    ├── OutputError (OSError)        "output"         an answer cannot be written
    ├── MissingError (LookupError)   "missing"        no such record, or none for this caller
    ├── ConflictError                "conflict"       somebody else changed it, or its state forbids the change
    │   └── StaleError               "stale"          the version that was seen is no longer the latest
    ├── RefusedError                 "refused"        this caller may not
    │   ├── UnknownCallerError       "unknown-caller" nobody is signed in, or not with this password or link
    │   └── TooManyError             "too-many"       too many tries; not before a while
    └── StoreError (OSError)         "store"          the store cannot keep or give what it should
        ├── BusyError                "busy"           not now; the same again will do
        └── DamagedError             "damaged"        what was kept is not what was given

Mistakes in one record of a site are not exceptions but complaints (``site.record.Complaint``):
the good records are still computed.
"""

from __future__ import annotations

from courtwright.says import Says


class CourtwrightError(Exception):
    """A problem, where it is, and what to do.

    Parameters
    ----------
    problem : Says
        What is wrong, with the offending value.
    where : str, optional
        File and place, as the person would find it.
    fix : Says, optional
        What to do about it.
    """

    code = "error"

    def __init__(self, problem: Says, where: str = "", fix: Says | None = None) -> None:
        super().__init__(problem.id)
        self.problem = problem
        self.where = where
        self.fix = fix

    def __str__(self) -> str:
        values = ", ".join(f"{key}={value!r}" for key, value in self.problem.values.items())
        return f"{self.where + ': ' if self.where else ''}{self.problem.id}({values})"


class CallError(CourtwrightError):
    """The command or its arguments are wrong."""

    code = "call"


class InputError(CourtwrightError, ValueError):
    """The input is wrong and nothing is left to compute."""

    code = "input"


class ArchiveError(InputError):
    """An archive that must not be opened: names that leave its folder, or a bomb."""

    code = "archive"


class QuantityError(InputError):
    """A quantity that nobody can read."""

    code = "quantity"


class EnvelopeError(InputError):
    """Bytes of a walk that are damaged, cut off, too large or of another kind; nothing of them was taken."""

    code = "envelope"


class TooLargeError(InputError):
    """More bytes than are taken at once."""

    code = "too-large"


class OutOfRangeError(CourtwrightError, ValueError):
    """A number outside the range in which a method is valid."""

    code = "out-of-range"


class TradeDataError(CourtwrightError, ValueError):
    """A TOML file of the trade is wrong."""

    code = "trade-data"


class OutputError(CourtwrightError, OSError):
    """An answer cannot be written where it was asked for."""

    code = "output"


class MissingError(CourtwrightError, LookupError):
    """No such record, or none that this caller may know of."""

    code = "missing"


class ConflictError(CourtwrightError):
    """Somebody else changed the record meanwhile, or its state forbids the change."""

    code = "conflict"


class StaleError(ConflictError):
    """The version that was seen is no longer the latest."""

    code = "stale"


class RefusedError(CourtwrightError):
    """The caller may not do what was asked."""

    code = "refused"


class UnknownCallerError(RefusedError):
    """Nobody is signed in, or the password or the link does not hold."""

    code = "unknown-caller"


class TooManyError(RefusedError):
    """Too many tries came one after the other.

    Parameters
    ----------
    problem, where, fix
        As of every error.
    wait : int, optional
        How long until the next may come. [s]
    """

    code = "too-many"

    def __init__(self, problem: Says, where: str = "", fix: Says | None = None, wait: int = 1) -> None:
        super().__init__(problem, where, fix)
        self.wait = wait


class StoreError(CourtwrightError, OSError):
    """The store cannot keep or give what it should: a full disk, a missing file, a newer database."""

    code = "store"


class BusyError(StoreError):
    """The store is taken; the same again in a moment will do."""

    code = "busy"


class DamagedError(StoreError):
    """What was kept is no longer what was given: a checksum or a seal does not hold."""

    code = "damaged"
