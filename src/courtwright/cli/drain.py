"""The command ``drain``."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import click

from courtwright import units
from courtwright.cli.quantities import slope
from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.errors import QuantityError
from courtwright.ground.drainage.read import Asked, PadDrainage
from courtwright.job.answers.drain import drain_document
from courtwright.says import say
from courtwright.trade.drainage import drainage_facts

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright drain demo-site
  courtwright drain demo-site --intensity "5 in/h" --ground lawn-heavy-flat
  courtwright drain demo-site --intensity "127 mm/h" --fall "0.5 %" --json"""
)
_HOUR = 3600.0


def _intensity(ctx: click.Context, param: click.Parameter, given: str | None) -> float | None:
    """Return a rain in metres a second; its unit has to be written, since nobody guesses rain."""
    if given is None:
        return None
    depth, _, time = given.replace(" per ", "/").rpartition("/")
    if not depth.strip() or depth.strip()[-1].isdigit() or time.strip().lower() not in ("h", "hr", "hour", "hora"):
        raise click.BadParameter(f"{given!r} is no intensity; write it as 5 in/h or 127 mm/h.", ctx, param)
    try:
        value = units.parse_length(depth.strip())
    except QuantityError as error:
        raise click.BadParameter(f"{given!r} is no intensity; write it as 5 in/h or 127 mm/h.", ctx, param) from error
    if not 0 < value < math.inf:
        raise click.BadParameter(f"{given!r} is no rain.", ctx, param)
    return value / _HOUR


def _surface(ctx: click.Context, param: click.Parameter, given: str) -> str:
    """Refuse a ground of which the trade's data tell nothing; they are read only when the command runs."""
    known = drainage_facts().run_off
    if given not in known:
        raise click.BadParameter(f"{given!r} is none of {', '.join(known)}.", ctx, param)
    return given


@click.command("drain", epilog=_EXAMPLES)
@site_argument
@click.option("--intensity", callback=_intensity, help="Of the rain, the local authority's figure, with its unit.")
@click.option("--ground", default="lawn-heavy-steep", show_default=True, callback=_surface, help="What lies uphill.")
@click.option(
    "--fall",
    callback=slope(lambda value: 0 < value <= 1, "leads no water away"),
    help="Along the swale, drain or pipe; the usual one unless given.",
)
@talking
def command(talk: Talk, site: Path, intensity: float | None, ground: str, fall: float | None) -> None:
    """Show run-off, run-on, the side to lower and what carries the water away, of every pad.

    Without an intensity there is no peak: rain is the local authority's to tell.
    """
    record = read(site, talk)
    answer, pads = drain_document(record, talk.reader, Asked(intensity, ground, fall))
    talk.give(answer, _lines(talk, pads), record.complaints)


def _lines(talk: Talk, pads: tuple[PadDrainage, ...]) -> Iterator[str]:
    def line(depth: int, id: str, /, **values: object) -> str:
        return talk.wrap(depth, talk.reader.says(say(f"drainage.{id}", **values)))

    for pad in pads:
        yield line(0, "pad", pad=pad.id, area=pad.area)
        if pad.run_on.area is not None:
            yield line(1, "run-on", area=pad.run_on.area)
        side = pad.lower
        if side.length and side.depth is not None:
            yield line(1, "lower", length=side.length, depth=side.depth, volume=side.volume)
        if pad.peak is not None and pad.channels is not None:
            yield line(1, "peak", flow=pad.peak * 60)
            found = pad.channels
            if found.swale:
                yield line(1, "swale", width=found.swale.width, slope=found.slope, depth=found.swale.depth)
            else:
                yield line(1, "no-size")
            for kind, carried in (("trench", found.trench), ("pipe", found.pipe)):
                if carried:
                    yield line(1, kind, width=carried.width, depth=carried.depth)
        for note in pad.notes:
            yield talk.wrap(1, talk.reader.says(note))
