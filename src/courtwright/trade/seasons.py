"""When coats can be laid outdoors, as the trade knows it by where a site lies."""

from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass

from courtwright.trade import tables
from courtwright.trade.load import amount_in_si, check_source
from courtwright.trade.records import Amount


@dataclass(frozen=True, slots=True)
class CoatingSeason:
    """The days of a year on which coats can be laid in one region.

    Parameters
    ----------
    lat_least_deg, lat_most_deg, lon_least_deg, lon_most_deg : float
        The region, by latitude and longitude. [°]
    first, last : str
        Month and day (``MM-DD``) of the usual first and last day.
    """

    id: str
    lat_least_deg: float
    lat_most_deg: float
    lon_least_deg: float
    lon_most_deg: float
    first: str
    last: str
    source: str

    def holds(self, lat: float, lon: float) -> bool:
        """Tell whether a place lies in the region.

        Parameters
        ----------
        lat, lon : float
            Of the place. [°]
        """
        is_across = self.lat_least_deg <= lat <= self.lat_most_deg
        return is_across and self.lon_least_deg <= lon <= self.lon_most_deg

    def of(self, year: int) -> tuple[dt.date, dt.date]:
        """Return the first and the last day of a year's season.

        Examples
        --------
        >>> season = coating_season(41.5, -74.5)
        >>> season.of(2026) if season else None
        (datetime.date(2026, 5, 15), datetime.date(2026, 9, 25))
        """
        return dt.date.fromisoformat(f"{year}-{self.first}"), dt.date.fromisoformat(f"{year}-{self.last}")


@dataclass(frozen=True, slots=True)
class Seasons:
    """The usual lead from an offer to its work, and the seasons of the regions that are known."""

    lead: Amount
    coating: tuple[CoatingSeason, ...]


@functools.cache
def seasons() -> Seasons:
    """Return what ``trade/seasons.toml`` holds, the lead in days.

    Raises
    ------
    TradeDataError
        If an entry is malformed or without a source.
    """
    file = tables.named("seasons.toml")
    found = tables.record(Seasons, tables.load_toml(file), file.name)
    for season in found.coating:
        check_source(season.source, f"{file.name}, {season.id}")
    return Seasons(amount_in_si(found.lead, f"{file.name}, lead"), found.coating)


def coating_season(lat: float | None, lon: float | None) -> CoatingSeason | None:
    """Return the coating season of a place; None where none is known.

    Examples
    --------
    >>> coating_season(33.4, -112.0), coating_season(None, None)
    (None, None)
    """
    if lat is None or lon is None:
        return None
    return next((season for season in seasons().coating if season.holds(lat, lon)), None)
