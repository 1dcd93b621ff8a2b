"""The offer's one typeface: how wide a text is, and which characters it can draw."""

from __future__ import annotations

import functools
import io
import unicodedata
from importlib.resources import files

from PIL import Image, ImageDraw, ImageFont

FAMILY = "Atkinson Hyperlegible"
_REGULAR = "AtkinsonHyperlegible_400Regular.ttf"

#: Characters that the typeface lacks and people type, with what stands for them.
_STAND_INS = {
    "″": '"',
    "′": "'",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "→": "to",
    "\u202f": "\u00a0",
    "\u2009": "\u00a0",
    "\u2011": "-",
}


@functools.cache
def _font() -> ImageFont.FreeTypeFont:
    content = files("courtwright.offer.fonts").joinpath(_REGULAR).read_bytes()
    return ImageFont.truetype(io.BytesIO(content), 100)


def text_width(text: str, size: float) -> float:
    """Return how wide a line of text is.

    Parameters
    ----------
    text : str
        One line.
    size : float
        Type size. [mm]

    Returns
    -------
    float
        Width. [mm]

    Examples
    --------
    >>> text_width("", 3.5), text_width("aa", 3.5) == 2 * text_width("a", 3.5)
    (0.0, True)
    """
    return float(_font().getlength(text)) * size / 100


@functools.cache
def _can_draw(character: str) -> bool:
    return character.isascii() or _picture(character) != _picture("\uffff")


def _picture(character: str) -> bytes:
    canvas = Image.new("L", (300, 300))
    ImageDraw.Draw(canvas).text((50, 50), character, font=_font(), fill=255)
    return canvas.tobytes()


def drawable(text: str) -> str:
    r"""Return ``text`` in characters that the typeface holds, so that nothing prints as an empty box.

    A character without a likeness becomes a question mark; control characters become spaces.

    Examples
    --------
    >>> drawable("3′ 4⅜″, señor Łukasz 漢")
    '3\' 43/8", señor Łukasz ?'
    """
    return "".join(_drawn(character) for character in text)


@functools.cache
def _drawn(character: str) -> str:
    if unicodedata.category(character).startswith("C"):
        return " "
    if character in _STAND_INS:
        return _STAND_INS[character]
    if _can_draw(character):
        return character
    plain = unicodedata.normalize("NFKD", character)
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return plain if plain and all(map(_can_draw, plain)) else "?"
