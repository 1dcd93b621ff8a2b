"""What commands are told on their line: lengths and slopes as people write them, numbers with an end, units."""

from __future__ import annotations

import math
from collections.abc import Callable

import click

from courtwright import units
from courtwright.errors import QuantityError

#: What an option of click calls with what was given.
Check = Callable[[click.Context, click.Parameter, str | None], float | None]

#: What numbers without a unit are counted in, where a file does not tell it.
system_option = click.option(
    "--units",
    "system",
    type=click.Choice(["us", "metric"]),
    default="us",
    show_default=True,
    help="Of numbers without a unit: feet or metres.",
)


def length(is_good: Callable[[float], bool], refused: str, example: str) -> Check:
    """Return a check that reads a length; a bare number is feet. [m]

    Parameters
    ----------
    is_good : callable
        Tells whether a length can be meant. It is over nought and has an end. [m]
    refused : str
        What to say of one that cannot, after what was given.
    example : str
        How a length may be written.
    """

    def good(value: float) -> bool:
        return 0 < value < math.inf and is_good(value)

    return _checked(units.parse_length, good, "is no length", refused, example)


def slope(is_good: Callable[[float], bool], refused: str) -> Check:
    """Return a check that reads a slope, rise over run; see ``length``."""
    return _checked(units.parse_slope, is_good, "is no slope", refused, "1 % or 1/8 in/ft")


def temperature(example: str) -> Check:
    """Return a check that reads a temperature with its scale. [°C]

    Parameters
    ----------
    example : str
        How one may be written.
    """
    return _checked(
        units.parse_temperature, lambda value: -60 <= value <= 85, "is no temperature", "is no weather", example
    )


def speed(example: str) -> Check:
    """Return a check that reads a speed with its unit; see ``temperature``. [m/s]"""
    return _checked(units.parse_speed, lambda value: value <= 45, "is no speed", "is no wind to work in", example)


def humidity(example: str) -> Check:
    """Return a check that reads a relative humidity, 0 to 1 or in percent; see ``temperature``. [-]"""
    return _checked(lambda given: units.parse_quantity(given, "share"), lambda _: True, "is no humidity", "", example)


def _checked(
    read: Callable[[str], float], is_good: Callable[[float], bool], unread: str, refused: str, example: str
) -> Check:
    def check(ctx: click.Context, param: click.Parameter, given: str | None) -> float | None:
        if given is None:
            return None
        try:
            value = read(given)
        except QuantityError as error:
            raise click.BadParameter(f"{given!r} {unread}; write it as {example}.", ctx, param) from error
        if not is_good(value):
            raise click.BadParameter(f"{given!r} {refused}.", ctx, param)
        return value

    return check


def finite(what: str) -> Callable[[click.Context, click.Parameter, float | None], float | None]:
    """Return a check that refuses what is no number or has no end; a range alone lets both pass."""

    def check(ctx: click.Context, param: click.Parameter, value: float | None) -> float | None:
        if value is not None and not math.isfinite(value):
            raise click.BadParameter(f"{value} is no {what}.", ctx, param)
        return value

    return check
