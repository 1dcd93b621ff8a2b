"""What a company says in words of its own, as its record keeps it: texts by subject and language."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast, get_args

from courtwright.trade.papers import SUBJECTS
from courtwright.trade.words import Language


def own_terms(kept: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """Return the texts of a record; what is none of them, as earlier releases may have kept it, is passed over.

    Examples
    --------
    >>> own_terms({"payment": {"en": "Half first.", "es": " "}, "needs": "a tap", "colour": {"en": "red"}})
    {'payment': {'en': 'Half first.'}}
    """
    texts = {subject: _texts(kept.get(subject)) for subject in SUBJECTS}
    return {subject: of for subject, of in texts.items() if of}


def _texts(kept: object) -> dict[str, str]:
    if not isinstance(kept, Mapping):
        return {}
    of = cast("Mapping[str, object]", kept)
    found = {language: of.get(language) for language in get_args(Language)}
    return {language: text for language, text in found.items() if isinstance(text, str) and text.strip()}
