"""Cannot be loaded."""

raise ImportError("a library is missing")
