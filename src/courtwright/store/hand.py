"""Who changes something, and when: told by the edge, never looked up in here."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

#: Changes made on the machine itself, by a command.
MACHINE = "machine"


@dataclass(frozen=True, slots=True)
class Hand:
    """The hand that makes a change.

    Parameters
    ----------
    who : str
        Id of a person, ``link:<id>`` for a customer, or `MACHINE`.
    at : datetime
        When, with its zone.
    """

    who: str
    at: dt.datetime

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            message = "a time without a zone"
            raise ValueError(message)
