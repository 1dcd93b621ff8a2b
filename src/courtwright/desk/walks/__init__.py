"""Walks: their document and how it comes in, what it says, photos and survey files, the walk as one file."""
