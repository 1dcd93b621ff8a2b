"""What the usual warranty covers, and for how long, in sentences."""

from __future__ import annotations

from collections.abc import Iterable

from courtwright.says import say
from courtwright.trade.load import scopes, tolerances
from courtwright.trade.papers import Clause, terms
from courtwright.trade.words import Language, as_sentence, render, texts, word


def remedy_title(id: str, language: Language) -> str:
    """Return a remedy's title; its id's own word where it has none."""
    name = f"remedies.{id}.title"
    return render(say(name), language) if name in texts() else word(id, language)


def in_a_row(remedies: Iterable[str], language: Language) -> str:
    """Return remedies' titles within a sentence, parted by semicolons: a title may hold an "and".

    Examples
    --------
    >>> in_a_row(["swale", "underdrain"], "en")
    'swale uphill of the pad; underdrain'
    """
    titles = (remedy_title(id, language) for id in remedies)
    return "; ".join(title[0].lower() + title[1:] for title in titles)


def warranty_sentences(remedies: Iterable[str], language: Language) -> list[str]:
    """Return what is covered and for how long, one sentence for remedies that are covered alike.

    Parameters
    ----------
    remedies : iterable of str
        Those that are offered; named in this order.
    language : {"en", "es"}
        The reader's.
    """
    clauses = terms("warranty")
    alike: dict[tuple[Clause, int], list[str]] = {}
    for remedy in dict.fromkeys(remedies):
        clause = next((c for c in clauses.clause if remedy in c.remedies), None)
        if clause is not None:
            months = scopes()[remedy].warranty_months if remedy in scopes() else 0
            alike.setdefault((clause, months), []).append(remedy)
    coin = _coin(language)
    return [
        as_sentence(
            render(
                say(
                    "offer.warranty-period" if months else "offer.warranty-none",
                    remedies=in_a_row(of, language),
                    months=months,
                    covers=render(clauses.says(clause, coin=coin), language),
                ),
                language,
            )
        )
        for (clause, months), of in alike.items()
    ]


def _coin(language: Language) -> str:
    """Return the thickness that water is tested with, in millimetres to the hundredth: an inch rule cannot tell it."""
    return render(say("offer.coin", thickness=tolerances().water_test * 1000), language)
