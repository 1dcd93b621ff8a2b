"""A drawing as PNG, from its SVG: the same bytes for the same drawing."""

from __future__ import annotations

import re
import tempfile
from importlib.resources import as_file, files
from pathlib import Path

import typst

from courtwright.errors import OutputError
from courtwright.says import say

#: Fine enough for print, and twice as fine as a screen. [dots per inch]
DENSITY = 200.0
_MM_PER_INCH = 25.4
_SIZE = re.compile(r'width="([\d.]+)mm" height="([\d.]+)mm"')


def png(svg: str, width: int | None = None) -> bytes:
    """Return a drawing as PNG.

    Parameters
    ----------
    svg : str
        As ``Canvas.svg`` writes it: its size stands in millimetres.
    width : int, optional
        Dots across; by ``DENSITY`` unless given. [-]

    Raises
    ------
    OutputError
        If it cannot be drawn.
    """
    size = _SIZE.search(svg)
    assert size is not None, "a canvas writes its size in millimetres"
    wide, high = size.groups()
    density = DENSITY if width is None else width / float(wide) * _MM_PER_INCH
    page = f'#set page(width: {wide}mm, height: {high}mm, margin: 0mm)\n#image("drawing.svg", width: 100%)\n'
    fonts_at = files("courtwright.offer").joinpath("fonts")
    with tempfile.TemporaryDirectory(prefix="courtwright-") as name, as_file(fonts_at) as fonts:
        folder = Path(name)
        (folder / "drawing.svg").write_text(svg, encoding="utf-8")
        (folder / "page.typ").write_text(page, encoding="utf-8")
        try:
            drawn = typst.compile(
                str(folder / "page.typ"),
                root=str(folder),
                font_paths=[str(fonts)],
                ignore_system_fonts=True,
                format="png",
                ppi=density,
            )
        except typst.TypstError as error:
            raise OutputError(say("offer.picture-not-drawn", detail=error.message), where="PNG") from error
    assert isinstance(drawn, bytes), "one page without an output file comes back as one file"
    return drawn
