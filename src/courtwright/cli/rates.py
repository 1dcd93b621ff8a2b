"""The contractor's own rates as a command is given them: a CSV file, whose wrong rows are told like the site's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from courtwright.errors import InputError
from courtwright.job.rates_csv import own_rates
from courtwright.site.record import SiteRecord
from courtwright.trade.house_rates import USUAL, HouseRates

#: The option of every command that prices.
rates_option = click.option(
    "--rates",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Own rates in place of the usual ones: a CSV file with the columns id and value, perhaps unit, date, note.",
)


def with_rates(record: SiteRecord, file: Path | None) -> tuple[SiteRecord, HouseRates]:
    """Return a record with what is wrong in a file of own rates, and the rates; they count from the day of the walk.

    Raises
    ------
    InputError
        If the file is a spreadsheet, no text, without a heading, or far too long.
    """
    if file is None:
        return record, USUAL
    try:
        house, complaints = own_rates(file.read_bytes(), file.name, record.walked_on)
    except InputError as error:
        raise InputError(error.problem, where=file.name, fix=error.fix) from error
    return replace(record, complaints=(*record.complaints, *complaints)), house
