"""Laws of the text catalogue: every sentence in both languages, none missing, none left over."""

from __future__ import annotations

import ast
import functools
import re
import string
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from courtwright import units
from courtwright.says import Says, say
from courtwright.trade import tables
from courtwright.trade.words import render, texts, word

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "courtwright"
TEXT_FILES = sorted((SOURCE / "trade" / "text").glob("*.toml"))

#: The kinds that ``trade.words`` prints itself, each with a value; the others are those of ``units.show``.
SPECIMENS: Mapping[str, object] = {
    "word": "old-repair",
    "text": "upper.csv",
    "says": say("words.old-repair"),
    "list": ("crack", "heave", "old-repair"),
}
NUMBERS = frozenset(units.KINDS)


def _none(offences: list[str]) -> None:
    assert not offences, "\n" + "\n".join(offences)


def _placeholders(text: str) -> dict[str, str]:
    """Return the placeholders of a text, each with the kind that prints it."""
    return {name: kind or "text" for _, name, kind, _ in string.Formatter().parse(text) if name is not None}


def _specimen(kind: str) -> object:
    return SPECIMENS.get(kind, 2.0)


# --- both languages -----------------------------------------------------------------------------


@pytest.mark.parametrize("file", TEXT_FILES, ids=lambda f: f.stem)
def test_a_file_of_texts_says_who_has_read_its_spanish(file: Path):
    """Every file opens with ``es_read_by``, and each of its tables holds exactly ``en`` and ``es``."""
    table = tables.load_toml(file)
    assert next(iter(table)) == "es_read_by"
    assert {name for name, entry in table.items() if name != "es_read_by" and set(entry) != {"en", "es"}} == set()


def test_no_text_is_empty_and_none_ends_in_space():
    """Nothing is said in silence, and joining sentences is the renderer's work."""
    _none([id for id, entry in texts().items() for t in entry.values() if not t.strip() or t != t.strip()])


def test_both_languages_name_the_same_values_in_the_same_way():
    """A value told in one language is told in the other, as the same kind."""
    odd = (id for id, entry in texts().items() if _placeholders(entry["en"]) != _placeholders(entry["es"]))
    _none([f"{id}: {texts()[id]}" for id in odd])


def test_a_sentence_of_four_words_is_not_the_same_in_both_languages():
    """English is not left standing where Spanish should be."""
    same = {id: re.sub(r"\{[^}]*\}", "", t["en"]) for id, t in texts().items() if t["en"] == t["es"]}
    _none([id for id, rest in same.items() if len(re.findall(r"[a-z]{2,}", rest)) > 3])


def test_every_placeholder_is_a_plain_name_and_its_kind_is_known():
    """``{gap:small}``: a name, and a kind that ``units.show`` or ``trade.words`` prints."""
    kinds = NUMBERS | SPECIMENS.keys()
    holes = ((id, *hole) for id, entry in texts().items() for hole in _placeholders(entry["en"]).items())
    _none([f"{id}: {{{name}:{kind}}}" for id, name, kind in holes if not name.isidentifier() or kind not in kinds])


@pytest.mark.parametrize("kind", sorted(NUMBERS))
@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_units_print_every_kind(kind: str, system: str, language: str):
    """Every kind of number is printed in both languages and both systems, with its digits."""
    assert re.search(r"\d", units.show(2.0, kind, system, language))


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_text_renders(language: str, system: str):
    """Given a value for each placeholder, every text becomes words, with no bracket left over."""
    for id, entry in texts().items():
        values = {name: _specimen(kind) for name, kind in _placeholders(entry["en"]).items()}
        said = render(Says(id, values), language, system)
        assert said, id
        assert not re.search(r"[{}⟨⟩]", said), f"{id}: {said}"


def test_an_unknown_id_is_shown_and_not_lost():
    """What no file holds stands in angle brackets, so that somebody sees it."""
    assert render(say("nowhere.nothing")) == "⟨nowhere.nothing⟩"


def test_a_list_is_joined_as_the_language_does():
    """The last two of a list are joined by a word, the others by commas."""
    key = next(id for id, t in texts().items() if _placeholders(t["en"]) == {} and id.startswith("words."))
    name = key.removeprefix("words.")
    assert word(name, "es") == texts()[key]["es"]
    assert word("no-such-word") == "no such word"


# --- what the code says -------------------------------------------------------------------------


@functools.cache
def _trees() -> tuple[tuple[str, ast.Module], ...]:
    files = sorted(SOURCE.rglob("*.py"))
    return tuple((str(f.relative_to(ROOT)), ast.parse(f.read_text(encoding="utf-8"))) for f in files)


class Said(NamedTuple):
    """One place where the code says something: where, by which ids (a regular expression), and the call."""

    place: str
    ids: str | None
    call: ast.Call


def _said() -> Iterator[Said]:
    """Yield every call of ``say`` or ``Says``; a room's own ``….say("name")`` speaks the texts of its room."""
    for name, tree in _trees():
        for node in ast.walk(tree):
            match node:
                case ast.Call(func=ast.Name(id="say" | "Says"), args=[first, *_]):
                    yield Said(f"{name}:{node.lineno}", _pattern(first), node)
                case ast.Call(func=ast.Attribute(attr="say"), args=[first, *_]):
                    made = _pattern(first, rf"{_room(name)}\.")
                    yield Said(f"{name}:{node.lineno}", made, node)
                case _:
                    pass


def _room(name: str) -> str:
    return Path(name).relative_to("src/courtwright").parts[0]


def _pattern(node: ast.expr, room: str = "") -> str | None:
    """Return what ids an expression may stand for, as a regular expression; None when its room is not written."""
    match node:
        case ast.Constant(value=str(text)):
            made = re.escape(text)
        case ast.JoinedStr(values=parts):
            made = "".join(re.escape(str(p.value)) if isinstance(p, ast.Constant) else r"([\w.\-]+)" for p in parts)
        case ast.BinOp(left=ast.Constant(value=str(text)), op=ast.Add()):
            made = re.escape(text) + r"([\w.\-]+)"
        case _:
            return None
    return room + made if room or re.match(r"[a-z\-]+\\\.", made) else None


def test_every_sentence_that_the_code_says_has_its_text():
    """An id written in the code, whole or in part, is in the catalogue."""
    _none([f"{s.place}: {s.ids}" for s in _said() if s.ids and not any(re.fullmatch(s.ids, id) for id in texts())])


def test_every_value_that_a_text_names_is_given_where_it_is_said():
    """A call that says one id by its full name gives all that the text's placeholders name."""
    short = []
    for place, ids, call in _said():
        id = (ids or "").replace("\\", "")
        given = {k.arg for k in call.keywords}
        if id in texts() and None not in given and len(call.args) == 1:
            missing = _placeholders(texts()[id]["en"]).keys() - given
            short += [f"{place}: {id} lacks {name}" for name in sorted(missing)]
    _none(short)


def _complained() -> Iterator[tuple[str, str, ast.Call]]:
    """Yield every complaint that is made under a written code: place, code and call."""
    for name, tree in _trees():
        for node in ast.walk(tree):
            match node:
                case ast.Call(
                    func=ast.Attribute(attr="error" | "note"), args=[_, _, ast.Constant(value=str(code)), *_]
                ):
                    yield f"{name}:{node.lineno}", code, node
                case _:
                    pass


def test_every_complaint_says_what_is_wrong_and_what_to_do():
    """A complaint's code names two texts, and the call gives what their placeholders name."""
    short = []
    for place, code, call in _complained():
        given = {k.arg for k in call.keywords}
        asked = [f"site.{code}"] + ([] if "do" in given or len(call.args) > 3 else [f"site.{code}-do"])
        short += [f"{place}: no text {id}" for id in asked if id not in texts()]
        if None not in given:
            holes = {hole for id in asked if id in texts() for hole in _placeholders(texts()[id]["en"])}
            short += [f"{place}: {code} lacks {hole}" for hole in sorted(holes - given)]
    _none(short)


# --- nothing left over --------------------------------------------------------------------------


def _strings(table: Any) -> Iterator[str]:
    match table:
        case str():
            yield table
        case dict():
            for key, value in table.items():
                yield key
                yield from _strings(value)
        case list():
            for value in table:
                yield from _strings(value)
        case _:
            pass


@functools.cache
def _written() -> frozenset[str]:
    """Return every string that the code and the trade's data hold, the texts themselves left out."""
    code = {
        n.value for _, t in _trees() for n in ast.walk(t) if isinstance(n, ast.Constant) and isinstance(n.value, str)
    }
    data = {
        text
        for file in (SOURCE / "trade").rglob("*.toml")
        if file not in TEXT_FILES
        for text in (file.stem, *_strings(tables.load_toml(file)))
    }
    return frozenset(code | data)


@functools.cache
def _patterns() -> tuple[re.Pattern[str], ...]:
    """Return what the code makes ids from: strings in parts that begin with a room, and what rooms say."""
    parts = (n for _, t in _trees() for n in ast.walk(t) if isinstance(n, ast.JoinedStr | ast.BinOp))
    made = {_pattern(node) for node in parts} | {said.ids for said in _said()}
    return tuple(re.compile(p) for p in made if p and not p.startswith("words"))


def _is_used(id: str) -> bool:
    room, name = id.split(".", 1)
    if room == "words":
        return name in _written() or any(re.search(rf"\b{re.escape(name)}\b", text) for text in _written())
    found = (pattern.fullmatch(id) for pattern in _patterns())
    return id in _written() or any(all(map(_is_written, f.groups())) for f in found if f)


def _is_written(part: str) -> bool:
    made = (pattern.fullmatch(part) for pattern in _short_patterns())
    return part.isdecimal() or part in _written() or any(set(found.groups()) <= _written() for found in made if found)


@functools.cache
def _short_patterns() -> tuple[re.Pattern[str], ...]:
    """Return what the code makes names from that are put into an id elsewhere: ``f"key-{kind}"``."""
    parts = (n for _, t in _trees() for n in ast.walk(t) if isinstance(n, ast.JoinedStr))
    made = {_pattern(node, "(?:)") for node in parts if isinstance(node.values[0], ast.Constant)}
    return tuple(re.compile(p) for p in made if p and re.match(r"\(\?:\)[a-z\\-]{3,}", p))


def test_no_text_is_left_over():
    """A sentence of ``text/`` that neither code nor data names is taken away."""
    own = (f"{f.stem}.{name}" for f in TEXT_FILES for name in tables.load_toml(f) if name != "es_read_by")
    _none([id for id in own if not _is_used(id)])
