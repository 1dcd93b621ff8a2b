"""How slow a body may come: a phone with one bar is waited for, a caller that only holds a place is not."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pace:
    """The patience with a body.

    Parameters
    ----------
    idle_s : float
        Longest pause within it. [s]
    grace_s : float
        Time that every body may take, however small. [s]
    least_bytes_s : float
        What must come in each second beyond that, on the whole. [bytes/s]

    Examples
    --------
    A body of which 2,000 bytes have come in 25 s, at 1,000 bytes a second after 20 s:

    >>> Pace(idle_s=15.0, grace_s=20.0, least_bytes_s=1000.0).patience(waited=25.0, received=2000) > 0
    False
    """

    idle_s: float = 15.0
    grace_s: float = 30.0
    least_bytes_s: float = 1000.0

    def patience(self, waited: float, received: int) -> float:
        """Return how long to wait for more, not above nought when it is at its end. [s]

        Parameters
        ----------
        waited : float
            Time spent waiting for this body so far. [s]
        received : int
            What has come of it. [bytes]
        """
        return min(self.idle_s, self.grace_s + received / self.least_bytes_s - waited)
