"""Reads the values of one table as a person wrote them, complaining of each that cannot be used.

Every reader returns ``None`` for what is missing, ``"unknown"`` or wrong; what is wrong has been complained of.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.says import say
from courtwright.site.complaints import Complaints, nearest, short, suggestion

_UNKNOWN = frozenset({"unknown", "don't know", "dont know", "?", "desconocido", "no se", "no sé"})
_CLAIMS = {"true": True, "yes": True, "si": True, "sí": True, "false": False, "no": False}


def is_unknown(given: object) -> bool:
    """Tell whether a value says nothing: missing, or "don't know" in so many words."""
    return given is None or (isinstance(given, str) and given.strip().lower() in _UNKNOWN)


@dataclass(frozen=True, slots=True)
class Fields:
    """One table of a file, with its place in it.

    Parameters
    ----------
    table : mapping
        The values as given.
    file, at : str
        Where the table stands.
    complaints : Complaints
        Takes in what is wrong.
    system : {"us", "metric"}
        What a number without a unit is counted in.
    """

    table: Mapping[str, object]
    file: str
    at: str
    complaints: Complaints
    system: units.UnitSystem = "us"

    def place(self, key: str) -> str:
        """Return the place of one value."""
        return f"{self.at}, {key}" if self.at else key

    def refuse_others(self, known: Collection[str]) -> None:
        """Complain of every key that nobody knows."""
        for key in self.table:
            if key not in known:
                self.complaints.error(
                    self.file, self.place(key), "unknown-key", do=suggestion(key, known), key=short(key)
                )

    def text(self, key: str) -> str | None:
        """Return a text."""
        given = self.table.get(key)
        if is_unknown(given):
            return None
        if isinstance(given, str) and given.strip():
            return given.strip()
        return self._wrong(key, "not-a-text", given)

    def name(self, key: str) -> str | None:
        """Return a name: a text, or a whole number standing for one."""
        given = self.table.get(key)
        return str(given) if isinstance(given, int) and not isinstance(given, bool) else self.text(key)

    def word(self, key: str, words: Iterable[str]) -> str | None:
        """Return one of ``words``."""
        given, known = self.table.get(key), tuple(words)
        if is_unknown(given):
            return None
        plain = given.strip().lower().replace(" ", "-") if isinstance(given, str) else ""
        if plain in known:
            return plain
        self.complaints.error(
            self.file, self.place(key), "unknown-word", do=suggestion(str(given), known), given=short(given)
        )
        return None

    def open_word(self, key: str, words: Iterable[str]) -> str | None:
        """Return a word of an open list: any is kept, one nearly like a known one is asked about."""
        given, known = self.text(key), tuple(words)
        if given is None:
            return None
        plain = given.lower().replace(" ", "-")
        if plain not in known and nearest(plain, known, 0.75):
            self.complaints.note(
                self.file, self.place(key), "odd-word", do=suggestion(plain, known), given=short(given)
            )
        return plain

    def claim(self, key: str) -> bool | None:
        """Return true or false."""
        given = self.table.get(key)
        if is_unknown(given):
            return None
        if isinstance(given, bool):
            return given
        if isinstance(given, str) and given.strip().lower() in _CLAIMS:
            return _CLAIMS[given.strip().lower()]
        self._wrong(key, "not-a-claim", given)
        return None

    def number(self, key: str, low: float = -math.inf, high: float = math.inf) -> float | None:
        """Return a plain number between two ends.

        Parameters
        ----------
        key : str
            Its name.
        low, high : float
            The ends. [same as the number]

        Returns
        -------
        float or None
            The number. [as written]
        """
        given = self.table.get(key)
        if is_unknown(given):
            return None
        if isinstance(given, bool) or not isinstance(given, int | float) or not math.isfinite(given):
            self._wrong(key, "not-a-number", given)
            return None
        if not low <= given <= high:
            self.complaints.error(
                self.file, self.place(key), "out-of-range", given=short(given), low=f"{low:g}", high=f"{high:g}"
            )
            return None
        return float(given)

    def year(self, key: str) -> int | None:
        """Return a year of the common era in which a court may have been built."""
        given = self.table.get(key)
        if isinstance(given, dt.date):
            return given.year
        value = self.number(key, 1850, 2150)
        if value is not None and value != round(value):
            self._wrong(key, "not-a-number", given)
            return None
        return None if value is None else round(value)

    def date(self, key: str) -> dt.date | None:
        """Return a day, as TOML writes it or as ISO text."""
        given = self.table.get(key)
        if is_unknown(given):
            return None
        if isinstance(given, dt.datetime):
            return given.date()
        if isinstance(given, dt.date):
            return given
        try:
            return (
                dt.date.fromisoformat(given.strip()) if isinstance(given, str) else self._wrong(key, "no-date", given)
            )
        except ValueError:
            return self._wrong(key, "no-date", given)

    def quantity(self, key: str, kind: str) -> float | None:
        """Return a quantity in SI.

        Parameters
        ----------
        key : str
            Its name.
        kind : str
            A kind of `units.parse_quantity`.

        Returns
        -------
        float or None
            The quantity. [base SI, or as the kind says]
        """
        given = self.table.get(key)
        if is_unknown(given):
            return None
        try:
            return units.parse_quantity(given, kind, self.system)
        except QuantityError as error:
            do = error.fix or say("site.measure-again")
            self.complaints.add("error", self.file, self.place(key), "quantity", error.problem, do)
            return None

    def table_of(self, key: str) -> Mapping[str, object]:
        """Return a table within; empty when there is none."""
        given = self.table.get(key)
        if isinstance(given, dict):
            return given
        if given is not None:
            self._wrong(key, "not-a-table", given)
        return {}

    def tables(self, key: str) -> list[tuple[int, Mapping[str, object]]]:
        """Return a list of tables, each with its ordinal; a single table counts as a list of one."""
        given = self.table.get(key)
        items: list[object] = given if isinstance(given, list) else [] if given is None else [given]
        found: list[tuple[int, Mapping[str, object]]] = []
        for number, item in enumerate(items, 1):
            if isinstance(item, dict):
                found.append((number, item))
            else:
                self.complaints.error(
                    self.file, self.place(f"{key} {number}"), "not-a-table", key=key, given=short(item)
                )
        return found

    def _wrong(self, key: str, code: str, given: object) -> None:
        self.complaints.error(self.file, self.place(key), code, key=key, given=short(given))
