"""The command ``index``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.quantities import finite
from courtwright.cli.talk import Talk, talking
from courtwright.errors import InputError
from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.index import index_answer
from courtwright.says import say
from courtwright.site.formats.distress_csv import read_distresses
from courtwright.verdict.condition import condition_index
from courtwright.verdict.records import ConditionIndex

_EXAMPLES = (
    "\b\n"
    """Example
  courtwright index unit-3.csv --area-m2 232.3"""
)


@click.command("index", epilog=_EXAMPLES)
@click.argument("distress", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--area-m2",
    type=click.FloatRange(min=0, min_open=True),
    required=True,
    callback=finite("area"),
    help="Area of the sample unit.",
)
@talking
def command(talk: Talk, distress: Path, area_m2: float) -> None:
    """Work out the condition index of one sample unit by ASTM D6433, with every step.

    DISTRESS is a CSV file with the columns distress, severity, quantity, unit.
    """
    found, wrong = read_distresses(distress.read_bytes(), distress.name, area_m2)
    if not found and wrong:
        talk.complain(wrong)
        raise InputError(say("cli.no-distress"), where=distress.name, fix=say("cli.no-distress-do"))
    index = condition_index(found, area_m2)
    answer = {**index_answer(index), "complaints": complaints(wrong, talk.reader)}
    talk.give(answer, _lines(talk, index), wrong)


def _lines(talk: Talk, index: ConditionIndex) -> Iterator[str]:
    for d in index.deducts:
        yield talk.line(0, "index-row", distress=d.distress, severity=d.severity, density=d.density, deduct=d.deduct)
    yield talk.line(0, "index-steps", hdv=index.hdv, m=index.m, tdv=index.tdv, q=index.q, cdv=index.cdv)
    yield talk.line(0, "index-value", value=index.value, rating=index.rating, standard=index.standard)
    if index.from_memory:
        yield talk.line(0, "index-memory", names=index.from_memory)
