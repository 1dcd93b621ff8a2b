"""The command ``check``."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import click

from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import WRONG_INPUT, Talk, talking
from courtwright.job.answers.check import check_document
from courtwright.job.answers.plain import fact_unit, fact_value
from courtwright.says import say
from courtwright.site.record import Shots, SiteRecord
from courtwright.trade.load import facts as fact_specs
from courtwright.verdict.records import Fact

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright check demo-site
  courtwright check demo-site --facts --lang es
  courtwright check walk.zip --json"""
)


@click.command("check", epilog=_EXAMPLES)
@site_argument
@click.option("--facts", "with_facts", is_flag=True, help="List every fact by the name that [answers] takes.")
@talking
def command(talk: Talk, site: Path, with_facts: bool) -> None:
    """Read a site folder or .zip: what is wrong, what is marked, what is known and lacking."""
    answer, (record, facts) = check_document(read(site, talk), talk.reader, talk.progress)
    talk.give(answer, _lines(talk, record, facts, with_facts=with_facts), record.complaints)
    if any(c.weight == "error" for c in record.complaints):
        sys.exit(WRONG_INPUT)


def _lines(
    talk: Talk, record: SiteRecord, facts: Mapping[str, Mapping[str, Fact]], *, with_facts: bool
) -> Iterator[str]:
    for pad in record.pads:
        known = facts[pad.id]
        lacks = [say(f"facts.{name}.title") for name, fact in known.items() if fact.value is None]
        yield talk.words(
            "check-pad", pad=pad.id, marks=len(pad.marks), tallies=len(pad.tallies), shots=_shots(pad.shots)
        )
        yield talk.line(1, "check-known", known=len(known) - len(lacks), of=len(known))
        if lacks and not with_facts:
            yield talk.line(1, "check-lacks", lacks=tuple(lacks))
        if with_facts:
            yield from _table(talk, known)
    errors = sum(c.weight == "error" for c in record.complaints)
    yield talk.words("check-complaints", errors=errors, notes=len(record.complaints) - errors)


def _shots(shots: Shots | None) -> int:
    return 0 if shots is None else len(shots.xyz)


def _table(talk: Talk, known: Mapping[str, Fact]) -> Iterator[str]:
    for name, fact in known.items():
        value = "?" if fact.value is None else f"{fact_value(fact.value)} {fact_unit(name) or ''}".strip()
        spec = fact_specs()[name]
        kind = "|".join(spec.words) if spec.words else spec.kind
        yield f"  {name:28} {value:18} {kind:12} {talk.reader.says(say(f'facts.{name}.title'))}"
