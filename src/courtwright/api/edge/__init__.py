"""What stands between the network and the app: pure ASGI, one guard a file; ``around`` puts them in order."""

from __future__ import annotations

from courtwright.api.edge.around import Edge, around

__all__ = ["Edge", "around"]
