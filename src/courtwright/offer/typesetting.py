"""Sets pages by Typst from plain data: tagged PDF, in the house's one typeface, the same bytes for the same data."""

from __future__ import annotations

import datetime as dt
import json
import re
import tempfile
from collections.abc import Mapping, Sequence
from importlib.resources import as_file, files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import cast

import typst

from courtwright.errors import OutputError
from courtwright.offer.lettering import drawable
from courtwright.says import say

#: A number with a unit as ``units.show`` prints it.
_UNIT = re.compile(r"(\d) ((?:in|pulg|sf|lf|cy|mm|m|m²|m³|pies|pies²|yd³|gal|l|t|%|°F|°C)(?![^\W\d]))")


def typeset(template: str, data: Mapping[str, object], pictures: Mapping[str, bytes], day: dt.date) -> bytes:
    """Return pages as PDF/UA-1.

    Parameters
    ----------
    template : str
        A file of ``templates`` without its ending; the PDF is called so in complaints.
    data : mapping
        What the template is given; plain values.
    pictures : mapping of str to bytes
        What it places, by file name.
    day : date
        By which the file is dated.

    Raises
    ------
    OutputError
        If the pages cannot be set.
    """
    with tempfile.TemporaryDirectory(prefix="courtwright-") as name, as_file(_package("fonts")) as fonts:
        folder = Path(name)
        _lay_out(folder, data, pictures)
        return _set(folder, f"{template}.typ", fonts, day)


def _package(name: str) -> Traversable:
    return files("courtwright.offer").joinpath(name)


def _set(folder: Path, template: str, fonts: Path, day: dt.date) -> bytes:
    noon = dt.datetime(day.year, day.month, day.day, 12, tzinfo=dt.UTC)
    try:
        pdf = typst.compile(
            str(folder / template),
            root=str(folder),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            pdf_standards="ua-1",
            timestamp=noon,
        )
    except typst.TypstError as error:
        where = template.replace(".typ", ".pdf")
        raise OutputError(say("offer.document-not-set", detail=error.message), where=where) from error
    assert isinstance(pdf, bytes), "a document without an output file comes back as one file"
    return pdf


def _lay_out(folder: Path, data: Mapping[str, object], pictures: Mapping[str, bytes]) -> None:
    """Put the templates, the data and the pictures side by side in a folder."""
    _copy(_package("templates"), folder)
    (folder / "pictures").mkdir()
    for name, content in pictures.items():
        (folder / "pictures" / name).write_bytes(content)
    (folder / "data.json").write_text(json.dumps(_typed(data)), encoding="utf-8")


def _copy(source: Traversable, target: Path) -> None:
    target.mkdir(exist_ok=True)
    for item in source.iterdir():
        if item.is_dir():
            _copy(item, target / item.name)
        elif item.name.endswith(".typ"):
            (target / item.name).write_bytes(item.read_bytes())


def _typed(value: object) -> object:
    """Return plain data whose every text the typeface can set."""
    if isinstance(value, str):
        return drawable(_kept_together(value))
    if isinstance(value, Mapping):
        return {name: _typed(inner) for name, inner in cast("Mapping[str, object]", value).items()}
    if isinstance(value, list | tuple):
        return [_typed(inner) for inner in cast("Sequence[object]", value)]
    return value


def _kept_together(text: str) -> str:
    """Return a text in which no line breaks between a number and its unit."""
    return _UNIT.sub("\\1\u00a0\\2", text)
