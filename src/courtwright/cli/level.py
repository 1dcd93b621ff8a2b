"""The command ``level``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.quantities import system_option
from courtwright.cli.talk import Talk, talking
from courtwright.job.answers.level import level_answer
from courtwright.says import say
from courtwright.site.closing import ORDERS, Closing, closing_of
from courtwright.site.complaints import Complaints, NothingLeftError
from courtwright.site.formats.field_book import read_book, read_known_elevations
from courtwright.site.formats.table_csv import note
from courtwright.site.levelling import Run, reduced
from courtwright.site.rods import rods_reduced
from courtwright.units import UnitSystem

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright level book.csv --known marks.csv
  courtwright level book.csv --units metric --order third --json"""
)


@click.command("level", epilog=_EXAMPLES)
@click.argument("book", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--known", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="CSV: station,elevation.")
@system_option
@click.option(
    "--order",
    type=click.Choice(ORDERS),
    default="building",
    show_default=True,
    help="What the run may miss by; all but building need a column distance.",
)
@talking
def command(talk: Talk, book: Path, known: Path | None, system: UnitSystem, order: str) -> None:
    """Reduce a level field book: elevations, misclosure, its share for every set-up, what to shoot again.

    BOOK is a CSV file with the columns station, bs, is, fs (and distance); or the rods of a rotating laser, with the
    columns point, x, y, rod. Without a known station the first stands at zero.
    """
    talk.units = system
    wrong = Complaints()
    marks = read_known_elevations(known.read_bytes(), known.name, system, wrong) if known else {}
    found = read_book(book.read_bytes(), book.name, system, wrong)
    if found is None:
        raise NothingLeftError(say("book.no-book"), book.name, say("book.no-book-do"), wrong.found())
    run = rods_reduced(found.rods, marks)[0] if found.rods else reduced(found.sights, marks)
    if run.is_relative:
        note(wrong, book.name, "", "relative", station=run.levels[0].station)
    closing = closing_of(run, order, book.name, wrong)
    talk.give(level_answer(run, closing), _lines(talk, run, closing), wrong.found())


def _lines(talk: Talk, run: Run, closing: Closing) -> Iterator[str]:
    for p in run.levels:
        yield talk.words("level-row", station=p.station, elevation=f"{p.elevation:.4f}", adjusted=f"{p.adjusted:.4f}")
    if run.misclosure is not None and closing.allowable is not None:
        id = "level-closes" if closing.closes else "level-open"
        yield talk.words(id, off=f"{run.misclosure * 1000:.1f}", allowable=f"{closing.allowable * 1000:.1f}")
