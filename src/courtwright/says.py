"""What the core says, before it has words: an id and SI values.

The core never writes sentences. It returns ``Says`` records; ``trade.words.render`` turns
them into English or Spanish, US or metric, at the edges.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Says:
    """One sentence, unspoken.

    Parameters
    ----------
    id : str
        Names the text in ``trade/text/<room>.toml`` as ``<room>.<name>``.
    values : mapping
        What the text's placeholders stand for: SI numbers, words, or further ``Says``.
    """

    id: str
    values: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", MappingProxyType(dict(self.values)))

    def __hash__(self) -> int:
        return hash((self.id, tuple(sorted((k, str(v)) for k, v in self.values.items()))))

    def __reduce__(self) -> tuple[type[Says], tuple[str, dict[str, object]]]:
        return (Says, (self.id, dict(self.values)))


def say(id: str, /, **values: object) -> Says:
    """Return the sentence ``id`` with its values.

    Examples
    --------
    >>> say("site.mark-off-pad", mark="crack").values["mark"]
    'crack'
    """
    return Says(id, values)
