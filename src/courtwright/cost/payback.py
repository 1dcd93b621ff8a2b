"""The length of cracks at which repairing costs as much as rebuilding."""

from __future__ import annotations

from courtwright.cost.lines import priced_lines
from courtwright.cost.unit_rates import unit_rate_price
from courtwright.errors import OutOfRangeError
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.quantities.take_off import option_work
from courtwright.says import say
from courtwright.trade.rate_records import RateBook


def payback_crack_length(rebuild: float, recolour: float, crack_rate: float, share: float) -> float:
    """Return the crack length at which repair and recolouring cost a share of rebuilding. [m]

    Parameters
    ----------
    rebuild, recolour : float
        Prices of one court. [money]
    crack_rate : float
        Price of repairing cracks. [money/m]
    share : float
        Share of the rebuilding's price, 0 to 1. [-]

    Returns
    -------
    float
        Length of cracks on the court, 0 when recolouring alone costs more. [m]

    Raises
    ------
    OutOfRangeError
        If repairing costs nothing.

    Examples
    --------
    27,500 against 9,000 and 20 for each foot, at four fifths:

    >>> payback_crack_length(27500, 9000, 20, 0.8)
    650.0
    """
    if not crack_rate > 0:
        raise OutOfRangeError(say("cost.no-crack-rate", rate=crack_rate))
    return max(0.0, (share * rebuild - recolour) / crack_rate)


def court_payback(rates: RateBook, share: float, item: str = "membrane-strip") -> float:
    """Return the crack length on one standard court at which repair costs a share of mill and overlay. [m]

    Parameters
    ----------
    rates : RateBook
        The house rates.
    share : float
        Share of the rebuilding's price, 0 to 1. [-]
    item : str
        The repair's rate line, by length.

    Returns
    -------
    float
        Length of cracks on the court. [m]
    """
    rebuild = standard_price(rates, ("mill-and-overlay", "resurface"))
    recolour = standard_price(rates, ("resurface",))
    return payback_crack_length(rebuild, recolour, rates.lines[item].likely, share)


def standard_price(rates: RateBook, remedies: tuple[str, ...]) -> float:
    """Return the likely price of an option on one standard court with nothing else wrong. [money]"""
    pad = standard_pad()
    work = option_work(pad, standard_reading(pad), standard_facts(), "standard", remedies)
    return unit_rate_price(priced_lines(work, rates, None, 1.0), rates, 0.0)
