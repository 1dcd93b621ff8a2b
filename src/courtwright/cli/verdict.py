"""The command ``verdict``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.job.answers.verdict import verdict_document
from courtwright.says import say
from courtwright.verdict.records import Option, PadVerdict

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright verdict demo-site
  courtwright verdict demo-site --lang es
  courtwright verdict demo-site --json"""
)


@click.command("verdict", epilog=_EXAMPLES)
@site_argument
@talking
def command(talk: Talk, site: Path) -> None:
    """Show findings, condition index, causes, and every option ruled in or out with its reasons."""
    record = read(site, talk)
    answer, (record, verdict) = verdict_document(record, talk.reader, talk.progress)
    talk.give(answer, (line for pad in verdict.pads for line in _pad(talk, pad)), record.complaints)


def _pad(talk: Talk, pad: PadVerdict) -> Iterator[str]:
    yield talk.line(0, "verdict-pad", pad=pad.id)
    for finding in pad.findings:
        yield talk.wrap(1, talk.reader.says(finding.says), "- ")
    if pad.condition_index:
        yield talk.line(1, "verdict-index", value=pad.condition_index.value, rating=pad.condition_index.rating)
    for cause in pad.causes:
        title = say(f"causes.{cause.cause}.title")
        yield talk.line(1, "verdict-cause", cause=title, why=cause.evidence_for)
    for option in pad.options:
        yield from _option(talk, option)
    for advice in pad.advice[:1]:
        yield talk.line(1, "verdict-advice", says=advice)
    for measure in pad.measure_next[:5]:
        yield talk.line(1, "verdict-measure", how=measure.how)
    yield ""


def _option(talk: Talk, option: Option) -> Iterator[str]:
    yield talk.line(1, "verdict-option", title=option.title, state=option.state.replace(" ", "-"))
    for because in option.because[:2]:
        yield talk.wrap(3, talk.reader.says(because.says))
    if option.state != "ruled out" and option.does_not_mend:
        yield talk.line(3, "verdict-leaves", leaves=option.does_not_mend)
    for flips in option.opens_if[:1]:
        needs = ", ".join(f"{flip.fact} {flip.needs}" for flip in flips)
        yield talk.line(3, "verdict-flip", needs=needs)
