"""What the papers for a customer say besides the job itself: who offers, terms, cautions."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from courtwright.errors import TradeDataError
from courtwright.says import Says, say
from courtwright.trade import tables
from courtwright.trade.load import check_source
from courtwright.trade.records import Worded
from courtwright.trade.words import Language

TermsName = Literal["warranty", "exclusions", "payment", "needs", "limits"]
#: What a contractor may write of in words of its own; the cautions are no such subject.
Subject = Literal["warranty", "exclusions", "insurance", "payment", "cancellation", "needs"]
#: In the order of a paper.
SUBJECTS: tuple[Subject, ...] = get_args(Subject)
#: Subjects of which local law may say otherwise, whatever a paper says.
UNDER_LAW: frozenset[Subject] = frozenset({"payment", "cancellation"})


@dataclass(frozen=True, slots=True)
class OwnText:
    """What a contractor says of a subject, as it was typed.

    Parameters
    ----------
    en, es : str
        In each language; one of them may be empty.
    """

    en: str = ""
    es: str = ""

    def written(self, language: Language) -> str:
        """Return the text in a language; in the other, as it was written, where there is none.

        Examples
        --------
        >>> OwnText(es="Un año.").written("en"), OwnText(" Two years. ", "Dos años.").written("en")
        ('Un año.', 'Two years.')
        """
        own, other = (self.es, self.en) if language == "es" else (self.en, self.es)
        return own.strip() or other.strip()


@dataclass(frozen=True, slots=True)
class Contractor:
    """Who makes the offer: the head of every paper.

    Parameters
    ----------
    name, licence, address, phone : str
        As printed.
    source : str
        Where they come from.
    illustrative : bool
        Whether they stand in for a real contractor's.
    terms : mapping of str to OwnText
        What takes the place of the usual terms, by subject.
    """

    name: str
    licence: str
    address: str
    source: str
    phone: str = ""
    illustrative: bool = False
    terms: Mapping[Subject, OwnText] = field(default_factory=dict[Subject, OwnText])

    def own_text(self, subject: Subject, language: Language) -> str:
        """Return what the contractor says of a subject; nothing where the usual terms stand."""
        return self.terms[subject].written(language) if subject in self.terms else ""


@dataclass(frozen=True, slots=True)
class Clause:
    """One sentence of the terms or the cautions, and when it is said.

    Parameters
    ----------
    id : str
        Unique in its file.
    text : Worded
        The sentence.
    source : str
        Where it comes from.
    remedies, customers, surfaces : tuple of str
        Said only with one of these; always where empty.
    unless : tuple of str
        Remedies beside which it is not true.
    """

    id: str
    text: Worded
    source: str
    remedies: tuple[str, ...] = ()
    customers: tuple[str, ...] = ()
    surfaces: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()

    def concerns(self, remedies: frozenset[str], customer: str | None, surfaces: frozenset[str]) -> bool:
        """Tell whether the clause is to be said for these remedies, this customer and these surfaces."""
        return (
            (not self.remedies or not remedies.isdisjoint(self.remedies))
            and (not self.customers or (customer or "unknown") in self.customers)
            and remedies.isdisjoint(self.unless)
            and (not self.surfaces or not surfaces.isdisjoint(self.surfaces))
        )


@dataclass(frozen=True, slots=True)
class Clauses:
    """The clauses of one file.

    Parameters
    ----------
    clause : tuple of Clause
        In the order they are printed.
    dated : str
        ISO date on which they were usual; empty where that does not matter.
    check_locally : bool
        Whether local law decides.
    name : str
        Id of the file's texts; filled in by the loader.
    """

    clause: tuple[Clause, ...]
    dated: str = ""
    check_locally: bool = False
    name: str = ""

    def says(self, clause: Clause, **values: object) -> Says:
        """Return a clause's sentence with its values."""
        return say(f"{self.name}.clause.{clause.id}.text", **values)


def _clauses(folder: str, stem: str, name: str) -> Clauses:
    file = next((f for f in tables.folder(folder) if f.name == f"{stem}.toml"), None)
    if file is None:
        raise TradeDataError(say("trade.not-one-of", value=stem, known=folder), where=folder)
    found = tables.record(Clauses, {**tables.load_toml(file), "name": name}, f"{name}.toml")
    for clause in found.clause:
        check_source(clause.source, f"{file.name}, {clause.id}")
    return found


@functools.cache
def terms(name: TermsName) -> Clauses:
    """Return the clauses of one file of ``trade/terms``.

    Raises
    ------
    TradeDataError
        If there is no such file, or one of its clauses is malformed or without a source.

    Examples
    --------
    >>> terms("payment").check_locally
    True
    """
    return _clauses("terms", name, f"terms.{name}")


@functools.cache
def cautions() -> Clauses:
    """Return what people must know before anyone works on a pad.

    Raises
    ------
    TradeDataError
        If a caution is malformed or without a source.
    """
    return _clauses("", "cautions", "cautions")


@functools.cache
def house() -> Contractor:
    """Return the contractor of ``trade/house.toml``, who is illustrative until it is edited.

    Raises
    ------
    TradeDataError
        If the file is malformed.
    """
    file = tables.named("house.toml")
    return tables.record(Contractor, tables.load_toml(file), "house.toml")
