"""The records by kind: what one is, and how it is found and kept."""
