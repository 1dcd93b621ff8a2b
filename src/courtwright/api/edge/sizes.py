"""How large a request's body may be, by where it goes."""

from __future__ import annotations

from dataclasses import dataclass

MIB = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Sizes:
    """Limits of bodies.

    Parameters
    ----------
    most : int
        Where nothing else is said. [bytes]
    by_prefix : tuple of (str, int)
        Other limits, by how the path begins; the longest beginning counts. [bytes]
    by_ending : tuple of (str, int)
        Other limits, by how the path ends, where ids stand before; these count first. [bytes]

    Examples
    --------
    >>> sizes = Sizes(1000, (("/api/walks", 5000), ("/api/walks/photos", 9000)), (("/file", 7000),))
    >>> sizes.at("/api/walks/7/file")
    7000
    >>> sizes.at("/api/jobs"), sizes.at("/api/walks/7"), sizes.at("/api/walks/photos/1")
    (1000, 5000, 9000)
    """

    most: int = MIB
    by_prefix: tuple[tuple[str, int], ...] = ()
    by_ending: tuple[tuple[str, int], ...] = ()

    def at(self, path: str) -> int:
        """Return the limit of a path. [bytes]"""
        for ending, limit in self.by_ending:
            if path.endswith(ending):
                return limit
        fitting = [(len(prefix), limit) for prefix, limit in self.by_prefix if path.startswith(prefix)]
        return max(fitting)[1] if fitting else self.most


#: Everything that is typed fits a megabyte, and is read whole before anybody knows who asks; updates of a walk, photos
#: and surveys in parts, and a whole walk as one file are larger. Their routes ask who it is first, and hold them to
#: their own limits within these.
OURS = Sizes(
    MIB,
    by_prefix=(("/api/uploads/", 201_000_000),),
    by_ending=(("/updates", 33_000_000), ("/walks/file", 2_001_000_000)),
)
