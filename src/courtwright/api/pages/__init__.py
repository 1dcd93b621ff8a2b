"""The pages before the work: plain HTML without a script, for whoever comes by a link. Every value is escaped."""

from __future__ import annotations

import functools
import html
from collections.abc import Mapping
from importlib.resources import files
from string import Template

from fastapi.responses import HTMLResponse

from courtwright.says import Says, say
from courtwright.trade.words import Language, render

__all__ = ["font", "page", "stylesheet"]

#: The address of such a page holds a token: no cache keeps it, no search finds it, and no other site hears of it.
_HEADERS = {"Cache-Control": "no-store", "Referrer-Policy": "same-origin", "X-Robots-Tag": "noindex"}


def page(
    name: str,
    language: Language,
    values: Mapping[str, str | Says] | None = None,
    status: int = 200,
    wrong: tuple[Says, ...] = (),
) -> HTMLResponse:
    """Return a page.

    Parameters
    ----------
    name : str
        Of its file; its title is the text ``api.page-<name>``.
    language : {"en", "es"}
        The reader's.
    values : mapping
        By placeholder; its own texts need none.
    status : int
        Of HTTP. [-]
    wrong : tuple of Says
        What is wrong with what was sent, and what to do.
    """
    body = _filled(name, language, values or {})
    told = html.escape(" ".join(_sentence(render(one, language)) for one in wrong))
    text = _template("frame").substitute(
        language=language,
        title=html.escape(render(say(f"api.page-{name}"), language)),
        wrong=f'<p class="wrong" role="alert">{told}</p>' if told else "",
        body=body,
    )
    return HTMLResponse(text, status, _HEADERS)


def _sentence(text: str) -> str:
    """Return what commands say after a colon as it stands on a page, by itself."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _filled(name: str, language: Language, values: Mapping[str, str | Says]) -> str:
    """Return what is within a page, each value escaped."""
    texts = {
        "lead": say(f"api.page-{name}-lead"),
        "do": say(f"api.page-{name}-do"),
        "hint": say("api.page-unbuilt-hint" if name == "unbuilt" else "api.page-password-hint"),
        **{f"field_{one}": say(f"api.page-field-{one}") for one in ("company", "name", "email", "password")},
    }
    template = _template(name)
    told = {part: value for part, value in {**texts, **values}.items() if part in template.get_identifiers()}
    shown = {part: one if isinstance(one, str) else render(one, language) for part, one in told.items()}
    return template.substitute({part: html.escape(one) for part, one in shown.items()})


@functools.cache
def _template(name: str) -> Template:
    return Template(files("courtwright.api.pages").joinpath(f"{name}.html").read_text(encoding="utf-8"))


@functools.cache
def stylesheet() -> str:
    """Return the look of the pages."""
    return files("courtwright.api.pages").joinpath("enter.css").read_text(encoding="utf-8")


@functools.cache
def font() -> bytes:
    """Return the letters of the pages, which are those of our papers."""
    return files("courtwright.offer").joinpath("fonts", "AtkinsonHyperlegible_400Regular.ttf").read_bytes()
