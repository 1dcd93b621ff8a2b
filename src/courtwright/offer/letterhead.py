"""The head of every paper: who writes it, with the logo where there is one."""

from __future__ import annotations

from collections.abc import Callable

from courtwright.trade.papers import Contractor

#: What the logo is called among the pictures of a paper.
LOGO = "logo.png"


def letterhead(who: Contractor, say: Callable[..., str], logo: bytes) -> dict[str, object]:
    """Return what the letter's template is given of the contractor.

    Parameters
    ----------
    who : Contractor
        Who writes.
    say : callable
        Gives a text of this room in the paper's language.
    logo : bytes
        A PNG; empty without one.
    """
    licence = say("licence-line", licence=who.licence) if who.licence else ""
    return {
        "name": who.name,
        "lines": [line for line in (who.address, who.phone, licence) if line],
        "logo": {"file": LOGO, "alt": say("logo-alt", contractor=who.name)} if logo else None,
    }


def logo_picture(logo: bytes) -> dict[str, bytes]:
    """Return the logo as a picture of a paper; none without one."""
    return {LOGO: logo} if logo else {}
