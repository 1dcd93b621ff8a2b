"""Cannot be loaded in a worker."""

from multiprocessing import parent_process

if parent_process() is not None:
    raise ImportError("a library is missing")
