"""Translates requests of the web into calls of `desk`, and its answers back."""
