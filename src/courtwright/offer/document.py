"""The pages of the offer: tagged PDF, set by Typst from plain data."""

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
from courtwright.offer.paper import Paper, Section
from courtwright.offer.sections import SECTIONS
from courtwright.says import say

#: A number with a unit as ``units.show`` prints it.
_UNIT = re.compile(r"(\d) ((?:in|pulg|sf|lf|cy|mm|m|m²|m³|pies|pies²|yd³|gal|l|t|%)(?![^\W\d]))")


def offer_pdf(paper: Paper) -> bytes:
    """Return the offer, or the budget letter, as PDF/UA-1; the same request gives the same bytes.

    Parameters
    ----------
    paper : Paper
        What is written.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    OutputError
        If the pages cannot be set.
    """
    sections = [section for make in SECTIONS if (section := make(paper)) is not None]
    with tempfile.TemporaryDirectory(prefix="courtwright-") as name, as_file(_package("fonts")) as fonts:
        folder = Path(name)
        _lay_out(folder, paper, sections)
        return _set(folder, fonts, paper.request.issued_on)


def _package(name: str) -> Traversable:
    return files("courtwright.offer").joinpath(name)


def _set(folder: Path, fonts: Path, day: dt.date) -> bytes:
    noon = dt.datetime(day.year, day.month, day.day, 12, tzinfo=dt.UTC)
    try:
        pdf = typst.compile(
            str(folder / "offer.typ"),
            root=str(folder),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            pdf_standards="ua-1",
            timestamp=noon,
        )
    except typst.TypstError as error:
        raise OutputError(say("offer.document-not-set", detail=error.message), where="offer.pdf") from error
    assert isinstance(pdf, bytes), "a document without an output file comes back as one file"
    return pdf


def _lay_out(folder: Path, paper: Paper, sections: list[Section]) -> None:
    """Put the templates, the data and the pictures side by side in a folder."""
    _copy(_package("templates"), folder)
    (folder / "pictures").mkdir()
    for section in sections:
        for name, content in section.files.items():
            (folder / "pictures" / name).write_bytes(content)
    (folder / "offer.json").write_text(json.dumps(_typed(_data(paper, sections))), encoding="utf-8")


def _copy(source: Traversable, target: Path) -> None:
    target.mkdir(exist_ok=True)
    for item in source.iterdir():
        if item.is_dir():
            _copy(item, target / item.name)
        elif item.name.endswith(".typ"):
            (target / item.name).write_bytes(item.read_bytes())


def _data(paper: Paper, sections: list[Section]) -> dict[str, object]:
    request, site = paper.request, paper.request.site
    kind = paper.say("budget-title" if request.budget else "offer-title")
    job = site.job.name or paper.say("job-unnamed")
    day = request.issued_on
    return {
        "title": paper.say("document-title", kind=kind, job=job),
        "kind": kind,
        "lang": request.language,
        "paper": "us-letter" if request.units == "us" else "a4",
        "issued": [day.year, day.month, day.day],
        "dated": paper.date(day),
        "made-with": paper.say("made-with"),
        "page-word": paper.say("page"),
        "contractor": _contractor(paper),
        "about": _about(paper, job),
        "sections": [{"name": section.name, "content": section.content} for section in sections],
    }


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


def _contractor(paper: Paper) -> dict[str, object]:
    who = paper.request.contractor
    lines = [who.address, who.phone, paper.say("licence-line", licence=who.licence) if who.licence else ""]
    return {"name": who.name, "lines": [line for line in lines if line]}


def _about(paper: Paper, job: str) -> list[str]:
    site = paper.request.site
    lines = [paper.say("for-job", job=job)]
    if site.address:
        lines.append(paper.say("at-address", address=site.address))
    if site.walked_on and site.walked_by:
        lines.append(paper.say("walked-line", date=paper.date(site.walked_on), who=site.walked_by))
    elif site.walked_on:
        lines.append(paper.say("walked-date-line", date=paper.date(site.walked_on)))
    return lines
