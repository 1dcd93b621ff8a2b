"""Makes words of what the core says, in English or Spanish, in the reader's units.

``text/<room>.toml`` holds ``en`` and ``es`` for each id. A placeholder names a value and how to
print it: ``{gap:small}`` prints a length in fractions of an inch or in millimetres. The kinds are
those of ``units.show``, and besides ``word`` (an enumeration, looked up in ``text/words.toml``),
``text`` (as it is), ``says`` (a sentence within) and ``list`` (sentences or words, joined).
"""

from __future__ import annotations

import functools
import string
from collections.abc import Mapping
from typing import Any, Literal

from courtwright import units as unit_edge
from courtwright.says import Says
from courtwright.trade import tables

Language = Literal["en", "es"]
UnitSystem = Literal["us", "metric"]

#: Folders of the trade whose files carry texts beside their data, by ``<folder>.<file>.<path>``.
_WORDED_FOLDERS = ("facts", "remedies", "rules", "options", "defects", "causes", "scopes", "terms", "courts", "rates")

#: A text id ends up here when no file has it; tests forbid it.
_MISSING = "⟨{id}⟩"


@functools.cache
def texts() -> Mapping[str, Mapping[str, str]]:
    """Return every sentence by id: ``{"site.mark-off-pad": {"en": …, "es": …}}``."""
    found: dict[str, Mapping[str, str]] = {}
    for file in tables.folder("text"):
        room = file.name.removesuffix(".toml")
        for name, entry in tables.load_toml(file).items():
            if isinstance(entry, dict):
                found[f"{room}.{name}"] = entry
    for folder in _WORDED_FOLDERS:
        for file in tables.folder(folder):
            stem = "facts" if folder == "facts" else f"{folder}.{file.name.removesuffix('.toml')}"
            for path, entry in _worded(tables.load_toml(file)):
                found[f"{stem}.{path}"] = entry
    for file in tables.folder(""):
        for path, entry in _worded(tables.load_toml(file)):
            found[f"{file.name.removesuffix('.toml')}.{path}"] = entry
    return found


def _worded(table: Mapping[str, Any], path: str = "") -> list[tuple[str, Mapping[str, str]]]:
    """Return the tables within ``table`` that are texts, each with its dotted path.

    A list of tables counts by the tables' own ids.
    """
    if set(table) == {"en", "es"}:
        return [(path, table)]
    found: list[tuple[str, Mapping[str, str]]] = []
    for key, value in table.items():
        inner = f"{path}.{key}" if path else key
        if isinstance(value, dict):
            found += _worded(value, inner)
        elif isinstance(value, list):
            for item in value:
                if isinstance(item, dict) and "id" in item:
                    found += _worded(item, f"{inner}.{item['id']}")
    return found


class _Printer(string.Formatter):
    def __init__(self, language: Language, units: UnitSystem) -> None:
        self.language: Language = language
        self.units: UnitSystem = units

    def format_field(self, value: Any, format_spec: str) -> str:
        kind = format_spec or "text"
        if isinstance(value, Says):
            return render(value, self.language, self.units)
        if isinstance(value, tuple | list) or kind == "list":
            joined = [self.format_field(item, "word" if kind == "list" else kind) for item in value]
            return _joined(joined, self.language)
        if kind == "word":
            return word(str(value), self.language)
        if kind == "text":
            return str(value)
        return unit_edge.show(float(value), kind, self.units, self.language)


def _joined(items: list[str], language: Language) -> str:
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {'and' if language == 'en' else 'y'} {items[-1]}"


def as_sentence(text: str) -> str:
    """Return a text with a capital and a full stop.

    Examples
    --------
    >>> as_sentence("roots lift the slab"), as_sentence("Done!"), as_sentence("")
    ('Roots lift the slab.', 'Done!', '')
    """
    text = text.strip()
    if not text:
        return text
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?:»”" else ".")


def word(name: str, language: Language = "en") -> str:
    """Return an enumeration's word for a reader; the name itself when it needs no other."""
    entry = texts().get(f"words.{name}")
    return entry[language] if entry else name.replace("-", " ")


def render(says: Says, language: Language = "en", units: UnitSystem = "us") -> str:
    """Return what ``says`` says.

    Parameters
    ----------
    says : Says
        Id and SI values.
    language : {"en", "es"}
        The reader's language.
    units : {"us", "metric"}
        The reader's units.

    Returns
    -------
    str
        The sentence. An id that no file holds is shown in angle brackets rather than lost.
    """
    entry = texts().get(says.id)
    if entry is None:
        return _MISSING.format(id=says.id)
    return _Printer(language, units).vformat(entry[language], (), dict(says.values))
