"""The command ``tie``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from courtwright.cli.quantities import system_option
from courtwright.cli.talk import Talk, talking
from courtwright.job.answers.tie import tie_answer
from courtwright.says import say
from courtwright.site.complaints import Complaints, NothingLeftError
from courtwright.site.formats.table_csv import tell
from courtwright.site.formats.ties_csv import read_known_points, read_ties
from courtwright.site.ties import Located, Lost, Tie, located
from courtwright.trade.load import tolerances
from courtwright.units import UnitSystem

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright tie ties.csv --known corners.csv
  courtwright tie ties.csv --known corners.csv --units metric --json"""
)


@click.command("tie", epilog=_EXAMPLES)
@click.argument("ties", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--known", type=click.Path(exists=True, dir_okay=False, path_type=Path), required=True, help="CSV: point,x,y."
)
@system_option
@talking
def command(talk: Talk, ties: Path, known: Path, system: UnitSystem) -> None:
    """Locate points from tape distances; with three tapes or more by least squares, a bad tape named.

    TIES is a CSV file with the columns point, from, distance, and side (left or right, seen from the first point
    taped from towards the second) where the tapes leave a choice. A point that was located may serve for the next.
    """
    talk.units = system
    wrong = Complaints()
    fixes = read_known_points(known.read_bytes(), known.name, system, wrong)
    read = read_ties(ties.read_bytes(), ties.name, fixes, system, wrong)
    found = located(read, fixes, tolerances().tape)
    for one in found:
        _tell(one, [tie for tie in read if tie.point == one.point], ties.name, wrong)
    good = [one for one in found if isinstance(one, Located)]
    if not good:
        raise NothingLeftError(say("book.no-ties"), ties.name, say("book.no-ties-do"), wrong.found())
    talk.give(tie_answer(good), _lines(talk, good), wrong.found())


def _tell(one: Located | Lost, ties: Sequence[Tie], file: str, wrong: Complaints) -> None:
    """Complain of a point that was not found, and of tapes that the others contradict."""
    if isinstance(one, Lost):
        code = "tie-side-needed" if one.why == "side" else f"tie-{one.why}"
        tell(wrong, file, f"line {ties[0].line}", code, point=one.point, gap=one.gap)
        return
    for i in one.bad:
        tie = one.ties[i]
        values = {"point": one.point, "start": tie.start, "gap": abs(one.residuals[i])}
        tell(wrong, file, f"line {tie.line}", "tie-long" if one.residuals[i] > 0 else "tie-too-short", **values)
    if one.at_odds:
        tell(wrong, file, f"line {ties[0].line}", "tie-odds", point=one.point, gap=one.residual)


def _lines(talk: Talk, good: Sequence[Located]) -> Iterator[str]:
    for one in good:
        x, y, sd = (f"{v:.3f}" for v in (*one.fix.xy, one.deviation))
        yield talk.words("tie-row", point=one.point, x=x, y=y, sd=sd, residual=f"{one.residual * 1000:.1f}")
