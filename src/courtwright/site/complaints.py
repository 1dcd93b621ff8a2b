"""Gathers every wrong place of a site, so that all are told at once."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Literal

from courtwright.errors import InputError
from courtwright.says import Says, say
from courtwright.site.record import Complaint

#: Longest piece of a person's own text that a complaint repeats.
_LONGEST = 60


class NothingLeftError(InputError):
    """A site of which nothing is left to compute; it still tells every wrong place.

    Parameters
    ----------
    problem, fix : Says
        Why nothing is left, and what to do.
    where : str
        The file or folder.
    complaints : tuple of Complaint
        What was found wrong on the way.
    """

    def __init__(self, problem: Says, where: str, fix: Says, complaints: tuple[Complaint, ...] = ()) -> None:
        super().__init__(problem, where, fix)
        self.complaints = complaints


class Complaints:
    """A growing list of complaints; each names its sentence by its code, ``site.<code>`` and ``site.<code>-do``."""

    def __init__(self) -> None:
        self._found: list[Complaint] = []

    def add(self, weight: Literal["error", "note"], file: str, at: str, code: str, says: Says, do: Says) -> None:
        """Take in one complaint whose sentences are made elsewhere."""
        self._found.append(Complaint(file, at, code, weight, says, do))

    def error(self, file: str, at: str, code: str, do: Says | None = None, **values: object) -> None:
        """Take in what loses something; ``values`` fill both sentences."""
        self.add("error", file, at, code, say(f"site.{code}", **values), do or say(f"site.{code}-do", **values))

    def note(self, file: str, at: str, code: str, do: Says | None = None, **values: object) -> None:
        """Take in what tells of a choice made; ``values`` fill both sentences."""
        self.add("note", file, at, code, say(f"site.{code}", **values), do or say(f"site.{code}-do", **values))

    def found(self) -> tuple[Complaint, ...]:
        """Return all complaints, in the order in which the site was read."""
        return tuple(self._found)


def short(given: object) -> str:
    """Return what a person wrote, short enough for a sentence, on one line."""
    text = " ".join(str(given).split())
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def nearest(word: str, known: Iterable[str], closeness: float = 0.6) -> str | None:
    """Return the known word nearest to ``word``, or None when none is near.

    Parameters
    ----------
    word : str
        As typed; capitals, blanks and underscores do not count.
    known : iterable of str
        What it may have meant.
    closeness : float
        Least likeness, 0 to 1. [-]

    Returns
    -------
    str or None
        The nearest, as it is known.

    Examples
    --------
    >>> nearest("Crak", ["crack", "heave"]), nearest("banana", ["crack", "heave"])
    ('crack', None)
    """
    by_form = {_form(name): name for name in known}
    near = difflib.get_close_matches(_form(word), list(by_form), n=1, cutoff=closeness)
    return by_form[near[0]] if near else None


def _form(word: str) -> str:
    return word[:_LONGEST].strip().lower().replace("_", "-").replace(" ", "-")


def suggestion(word: str, known: Iterable[str]) -> Says:
    """Return "did you mean …?", or the list of what may be written."""
    names = tuple(known)
    near = nearest(word, names)
    return say("site.did-you-mean", near=near) if near else say("site.write-one-of", known=", ".join(names))
