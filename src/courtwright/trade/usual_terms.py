"""The usual terms whole, for whoever thinks of writing their own: a paper says what concerns its work."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.says import say
from courtwright.trade import judgement
from courtwright.trade.papers import SUBJECTS, Clauses, Subject, terms
from courtwright.trade.warranty import warranty_sentences
from courtwright.trade.words import Language, as_sentence, render


@dataclass(frozen=True, slots=True)
class UsualTerms:
    """What is usually said of a subject, in one language.

    Parameters
    ----------
    subject : str
        One of `papers.SUBJECTS`.
    title : str
        As it stands over the text on a paper.
    says : tuple of str
        Every sentence; none where a paper says nothing of it by itself.
    """

    subject: Subject
    title: str
    says: tuple[str, ...]


def usual_terms(language: Language) -> tuple[UsualTerms, ...]:
    """Return the usual terms of every subject, in the order of a paper.

    Parameters
    ----------
    language : {"en", "es"}
        The reader's.

    Examples
    --------
    >>> [(each.title, len(each.says)) for each in usual_terms("en") if each.subject in ("payment", "insurance")]
    [('Insurance', 0), ('Payment', 4)]
    """
    return tuple(
        UsualTerms(subject, render(say(f"offer.{subject}-heading"), language), _says(subject, language))
        for subject in SUBJECTS
    )


def _says(subject: Subject, language: Language) -> tuple[str, ...]:
    match subject:
        case "warranty":
            return tuple(warranty_sentences(judgement.remedies(), language))
        case "exclusions" | "payment" | "needs":
            return _sentences(terms(subject), language)
        case "insurance" | "cancellation":
            return ()


def _sentences(clauses: Clauses, language: Language) -> tuple[str, ...]:
    return tuple(
        _told_to(clause.customers, as_sentence(render(clauses.says(clause), language)), language)
        for clause in clauses.clause
    )


def _told_to(customers: tuple[str, ...], sentence: str, language: Language) -> str:
    """Return a sentence with those before it who alone are told it."""
    if not customers:
        return sentence
    who = ", ".join(render(say(f"offer.customer-{customer}"), language) for customer in customers)
    return as_sentence(render(say("offer.terms-for", customers=who, says=sentence), language))
