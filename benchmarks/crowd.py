"""How long many users waited, at ours and at a peer."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Crowd:
    """One row of the table of waits: how long half of many users, and all but one in a hundred, waited. [s]

    Parameters
    ----------
    what, peer : str
        What was asked for, and the peer.
    ours, theirs : list of float
        Every wait at ours and at the peer. [s]
    """

    what: str
    peer: str
    ours: list[float]
    theirs: list[float]

    @staticmethod
    def quantile(waits: list[float], share: float) -> float:
        """Return the wait that a share of all were no longer than. [s]"""
        return sorted(waits)[min(len(waits) - 1, int(share * len(waits)))]

    @property
    def ratio(self) -> float:
        """Our median over theirs. [-]"""
        return self.quantile(self.ours, 0.5) / self.quantile(self.theirs, 0.5)
