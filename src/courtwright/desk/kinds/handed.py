"""What a worker was handed, as the rooms take it: the site, and the contractor's own rates."""

from __future__ import annotations

import io

from courtwright.desk.kinds.asked import AnswerAsked, OfferAsked, Site
from courtwright.errors import ArchiveError
from courtwright.says import say
from courtwright.site.archive import ZipFiles
from courtwright.site.files import HeldFiles, SiteFiles, plain_name
from courtwright.trade.house_rates import HouseRate, HouseRates


def site_files(site: Site, name: str) -> SiteFiles:
    """Return the files of a site that came as a zip or one by one. ``name`` stands in complaints about the whole.

    Raises
    ------
    ArchiveError, InputError
        If it must not or cannot be opened, as with a zip on a disk.
    """
    if isinstance(site, bytes):
        return ZipFiles(io.BytesIO(site), name)
    for file in site:
        if plain_name(file) != file:
            raise ArchiveError(say("site.archive-name", name=file[:80]), where=name, fix=say("site.archive-do"))
    return HeldFiles(site)


def house_rates(ask: AnswerAsked | OfferAsked) -> HouseRates:
    """Return the contractor's own rates; none for a question that was kept before there were any."""
    return HouseRates({id: HouseRate(**rate) for id, rate in (ask.house or {}).items()})
