"""Keeps what was typed: a database, files, the documents of walks; computes nothing."""
