"""Everything that can go wrong, as one tree.

::

    CourtwrightError                 code "error"
    ├── CallError                    "call"           the command or its arguments are wrong   (exit 2)
    ├── InputError (ValueError)      "input"          nothing is left to compute               (exit 3)
    │   ├── ArchiveError             "archive"        an archive that must not be opened
    │   └── QuantityError            "quantity"       a quantity that nobody can read
    ├── OutOfRangeError (ValueError) "out-of-range"   a number outside a method's validity
    ├── TradeDataError (ValueError)  "trade-data"     a TOML file of the trade is wrong
    └── OutputError (OSError)        "output"         an answer cannot be written

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


class OutOfRangeError(CourtwrightError, ValueError):
    """A number outside the range in which a method is valid."""

    code = "out-of-range"


class TradeDataError(CourtwrightError, ValueError):
    """A TOML file of the trade is wrong."""

    code = "trade-data"


class OutputError(CourtwrightError, OSError):
    """An answer cannot be written where it was asked for."""

    code = "output"
