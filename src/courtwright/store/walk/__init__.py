"""The document of a walk: its envelopes, its updates, what it says in plain values, and its history.

Pure functions over bytes; nothing here knows a database or a server. See ``docs/explanation/walk-document.md``.
"""
