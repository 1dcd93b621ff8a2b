"""How a command talks: one JSON document or plain words on standard output, the rest on standard error."""

from __future__ import annotations

import datetime as dt
import functools
import shutil
import sys
import textwrap
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NoReturn

import click

from courtwright.errors import (
    CallError,
    ConflictError,
    CourtwrightError,
    InputError,
    MissingError,
    OutputError,
    RefusedError,
    StoreError,
)
from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.documents import document_text
from courtwright.job.answers.plain import Reader
from courtwright.says import say
from courtwright.trade.words import Language, UnitSystem, render

if TYPE_CHECKING:
    from courtwright.site.record import Complaint

WRONG_CALL, WRONG_INPUT = 2, 3


@dataclass(slots=True)
class Talk:
    """One command's conversation: who reads, in what form, and how strict."""

    language: Language
    as_json: bool
    strict: bool
    units: UnitSystem = "us"
    started: float = field(default_factory=time.monotonic)

    @property
    def reader(self) -> Reader:
        """Who reads the answer."""
        return Reader(self.language, self.units)

    def words(self, id: str, /, **values: object) -> str:
        """Return one of the command line's own sentences in the reader's words."""
        return render(say(f"cli.{id}", **values), self.language, self.units)

    def moment(self, told: str) -> str:
        """Return a moment as people write it, from one as files tell it."""
        return f"{dt.datetime.fromisoformat(told).astimezone(dt.UTC):%Y-%m-%d %H:%M} UTC"

    def line(self, depth: int, id: str, /, **values: object) -> str:
        """Return one of the command line's sentences, wrapped to the terminal and indented by its depth."""
        return self.wrap(depth, self.words(id, **values))

    def wrap(self, depth: int, text: str, lead: str = "") -> str:
        """Return a text wrapped to the terminal, ``depth`` indents deep [-], ``lead`` before its first line."""
        width = min(100, shutil.get_terminal_size((100, 24)).columns)
        indent = "  " * depth
        return textwrap.fill(text, width, initial_indent=indent + lead, subsequent_indent=indent + "  ")

    def give(self, answer: dict[str, Any], lines: Iterable[str], wrong: Iterable[Complaint] | None = None) -> None:
        """Print an answer, its complaints first; leave with the exit code they call for.

        Parameters
        ----------
        answer : dict
            The JSON document; what was wrong is added to one that does not tell it yet.
        lines : iterable of str
            The same in words, for a person.
        wrong : iterable of Complaint or None
            What was wrong with the input; None where nothing can be.
        """
        found = tuple(wrong or ())
        self.complain(found)
        if self.as_json:
            told = {} if wrong is None or "complaints" in answer else {"complaints": complaints(found, self.reader)}
            _tell(document_text({**answer, **told}))
        else:
            for line in lines:
                _tell(line)
        if self.strict and any(c.weight == "error" for c in found):
            sys.exit(WRONG_INPUT)

    def complain(self, wrong: Iterable[Complaint]) -> None:
        """Tell complaints on standard error: file, place: what is wrong; what to do."""
        for c in complaints(wrong, self.reader):
            place = ", ".join(str(part) for part in (c["file"], c["at"]) if part)
            _tell(f"{place}: {c['says']}; {c['do']}", err=True)

    def refuse(self, error: CourtwrightError) -> NoReturn:
        """Say why there is no answer, and leave."""
        says = render(error.problem, self.language, self.units)
        do = render(error.fix, self.language, self.units) if error.fix else ""
        wrong: tuple[Complaint, ...] = getattr(error, "complaints", ())
        self.complain(wrong)
        _tell(f"{error.where + ': ' if error.where else ''}{says}{'; ' + do if do else ''}", err=True)
        if self.as_json:
            told = complaints(wrong, self.reader)
            told.append({"file": error.where, "at": "", "code": error.code, "weight": "error", "says": says, "do": do})
            _tell(document_text({"complaints": told}))
        sys.exit(WRONG_CALL if isinstance(error, CallError | OutputError) else WRONG_INPUT)

    def progress(self, done: int, of: int) -> None:
        """Draw how far a long step is, once it has taken a second, where a person watches."""
        if time.monotonic() - self.started > 1.0 and sys.stderr.isatty():
            width = 30
            full = width * done // max(of, 1)
            end = "\r" if done < of else "\r" + " " * (width + 12) + "\r"
            click.echo(f"[{'=' * full}{' ' * (width - full)}] {done}/{of}{end}", nl=False, err=True)


def _tell(text: str, *, err: bool = False) -> None:
    """Print a text; what of a file's name is no text is shown as a question mark."""
    click.echo(text.encode("utf-8", "replace").decode("utf-8"), err=err)


def talking(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command its options ``--json``, ``--lang`` and ``--strict``, and its ``Talk``."""

    @click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
    @click.option(
        "--lang", "language", type=click.Choice(["en", "es"]), default="en", help="Language of every sentence."
    )
    @click.option("--strict", is_flag=True, help="Exit 3 when any complaint is an error.")
    @functools.wraps(command)
    def wrapped(*, as_json: bool, language: Language, strict: bool, **given: Any) -> None:
        talk = Talk(language, as_json, strict)
        try:
            command(talk, **given)
        except (InputError, CallError, OutputError, StoreError, ConflictError, MissingError, RefusedError) as error:
            talk.refuse(error)

    return wrapped
