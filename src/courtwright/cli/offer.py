"""The command ``offer``."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.rates import rates_option, with_rates
from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.errors import CallError
from courtwright.job.answers.complaints import complaints
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import write_offer
from courtwright.says import say
from courtwright.site import read_photos
from courtwright.trade.papers import house
from courtwright.trade.rate_records import RateBook

_FOLDER = click.Path(file_okay=False, path_type=Path)
_DATE = click.DateTime(formats=["%Y-%m-%d"])


_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright offer demo-site --out demo-offer
  courtwright offer demo-site --out demo-offer --start 2026-06-22
  courtwright offer demo-site --out letter --budget"""
)


@click.command("offer", epilog=_EXAMPLES)
@site_argument
@click.option(
    "--out", "folder", type=click.Path(file_okay=False, path_type=Path), required=True, help="Folder to write to."
)
@click.option("--budget", is_flag=True, help="A budget letter with ranges, before the facts are in; not an offer.")
@click.option("--on", "issued", type=_DATE, help="Date of the paper; the day of the walk unless given.")
@click.option("--start", type=_DATE, help="First day of work; adds schedule.ics.")
@click.option("--seed", type=int, default=1, show_default=True, help="Of the random draws.")
@rates_option
@talking
def command(
    talk: Talk,
    site: Path,
    folder: Path,
    budget: bool,
    issued: dt.datetime | None,
    start: dt.datetime | None,
    seed: int,
    rates: Path | None,
) -> None:
    """Write the offer (PDF), plans, quantities, marks and calendar; earlier ones are replaced when all are ready."""
    record, house = with_rates(read(site, talk), rates)
    day = issued.date() if issued else record.walked_on
    if day is None:
        raise CallError(say("cli.no-date"), where="site.toml", fix=say("cli.no-date-do"))
    made = estimate(record, seed, talk.progress, house)
    request = offer_request(
        made,
        issued_on=day,
        start=start.date() if start else None,
        budget=budget,
        language=talk.language,
        photos=read_photos(site, record.photos),
    )
    written = write_offer(request, folder)
    answer = {
        "folder": str(folder),
        "files": [path.name for path in written],
        "complaints": complaints(made.record.complaints, talk.reader),
    }
    talk.give(answer, [*map(str, written), *_stand_ins(talk, made.book)], made.record.complaints)


def _stand_ins(talk: Talk, book: RateBook) -> Iterator[str]:
    """Yield what of the house is still illustrative, and the file that says it."""
    if house().illustrative:
        yield talk.words("stand-in-house", file="trade/house.toml")
    if book.illustrative:
        yield talk.words("stand-in-rates", file="trade/rates/us-illustrative.toml")
