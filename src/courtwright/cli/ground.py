"""The command ``ground``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.quantities import humidity as humid
from courtwright.cli.quantities import speed, temperature
from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.ground.drying import Weather
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.job.answers.ground import SHOTS_MORE, drying_says, ground_document, next_says
from courtwright.site.record import SiteRecord
from courtwright.trade.load import tolerances

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright ground demo-site
  courtwright ground demo-site --pictures pictures
  courtwright ground demo-site --air "70 F" --humidity "50 %" --wind "5 mph"
  courtwright ground demo-site --json"""
)


@click.command("ground", epilog=_EXAMPLES)
@site_argument
@click.option("--seed", type=int, default=1, show_default=True, help="Of the simulated surfaces.")
@click.option(
    "--pictures",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for contours and the worst straightedge.",
)
@click.option(
    "--next",
    "shots_more",
    type=click.IntRange(0, 50),
    default=SHOTS_MORE,
    show_default=True,
    help="So many places to shoot next are told at most.",
)
@click.option("--air", callback=temperature("70 F or 21 C"), help="Temperature, for how long low spots take to dry.")
@click.option("--humidity", callback=humid("50 %"), help="Relative, with --air.")
@click.option("--wind", callback=speed("5 mph or 2 m/s"), help="Over the court, with --air.")
@click.option("--surface", callback=temperature("90 F or 32 C"), help="Of the water, where it is not that of the air.")
@talking
def command(
    talk: Talk,
    site: Path,
    seed: int,
    pictures: Path | None,
    shots_more: int,
    air: float | None,
    humidity: float | None,
    wind: float | None,
    surface: float | None,
) -> None:
    """Show heights, water, where to shoot next, flatness, slope, cracks, pieces and hollow repairs of every pad."""
    weather = _weather(air, humidity, wind, surface)
    record = read(site, talk)
    answer, reading = ground_document(record, talk.reader, seed, talk.progress, shots_more, weather)
    written: tuple[Path, ...] = ()
    if pictures is not None:
        written = _drawn(talk, record, reading, pictures)
        answer["files"] = [path.name for path in written]
    lines = (*_lines(talk, reading, weather), *(talk.line(0, "picture-written", file=path.name) for path in written))
    talk.give(answer, lines, record.complaints)


def _drawn(talk: Talk, record: SiteRecord, reading: GroundReading, folder: Path) -> tuple[Path, ...]:
    # Drawing loads what the command does not need otherwise.
    from courtwright.job.pictures import ground_pictures
    from courtwright.offer.writing import write_together

    files = ground_pictures(record, reading, talk.language, talk.units)
    return write_together(files, folder) if files else ()


def _weather(air: float | None, humidity: float | None, wind: float | None, surface: float | None) -> Weather | None:
    """Return the weather; refuse one of which only a part was given, since nobody guesses the rest."""
    if air is not None and humidity is not None and wind is not None:
        return Weather(air, humidity, wind, surface)
    if air is None and humidity is None and wind is None and surface is None:
        return None
    raise click.UsageError("How long water takes to dry needs --air, --humidity and --wind together.")


def _lines(talk: Talk, reading: GroundReading, weather: Weather | None) -> Iterator[str]:
    for pad in reading.pads:
        yield talk.line(0, "ground-pad", pad=pad.id, area=pad.area)
        yield from _surface(talk, pad, weather)
        yield from _slab(talk, pad)


def _surface(talk: Talk, pad: PadReading, weather: Weather | None) -> Iterator[str]:
    if pad.heights is None:
        yield talk.line(1, "ground-no-heights")
    for note in pad.notes:
        yield talk.wrap(1, talk.reader.says(note))
    for court in pad.courts:
        yield talk.line(1, "ground-court", court=court.id, sport=court.sport, slope=court.slope)
    if pad.flatness:
        yield talk.line(1, "ground-flat", gap=pad.flatness.gap_max, edge=pad.flatness.straightedge)
    if pad.low_spots:
        limits = tolerances()
        yield talk.line(1, "ground-water-test", depth=limits.water_test, hours=limits.water_test_wait / 3600)
    for spot in pad.low_spots:
        yield talk.line(1, "ground-low-spot", id=spot.id, depth=spot.depth_max, area=spot.area)
        if weather:
            yield talk.wrap(2, talk.reader.says(drying_says(spot, weather)))
    if pad.shoot_next:
        yield from (talk.wrap(1, talk.reader.says(sentence)) for sentence in next_says(pad.shoot_next))


def _slab(talk: Talk, pad: PadReading) -> Iterator[str]:
    yield talk.line(1, "ground-cracks", length=pad.cracks.length, junctions=pad.cracks.junctions)
    free = [piece.area for piece in pad.pieces if piece.free]
    yield talk.line(1, "ground-pieces", count=len(free), share=sum(free) / pad.area)
    for repair in pad.old_repairs:
        low, high = repair.failed_share_range
        yield talk.line(1, "ground-repair", id=repair.id, length=repair.length, low=low, high=high)
