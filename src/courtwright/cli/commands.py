"""The commands by name, known before any of them is loaded."""

from __future__ import annotations

#: Every command, by the module of ``cli`` that holds it, and what it does in a line.
COMMANDS: dict[str, str] = {
    "demo": "write the demo site to a folder",
    "check": "read a site; say what is wrong, what is known and what is lacking",
    "ground": "heights, water, flatness, slope, cracks, pieces, hollow repairs",
    "verdict": "findings, condition index, causes, options ruled in and out",
    "price": "quantities, prices with their range, allowances, yearly cost",
    "offer": "write the offer, plans, quantities, marks and calendar to a folder",
    "level": "reduce a level field book: elevations, misclosure, what to shoot again",
    "tie": "locate points from tape distances, with their doubt; name a bad tape",
    "water": "fill one raster of heights to where it spills; its low spots",
    "flatness": "the largest gap under a straightedge, anywhere on one raster",
    "regrade": "the new surface of least asphalt: plane, cut and fill, tonnage, stakes",
    "drain": "run-off, run-on, the side to lower, what carries the water",
    "index": "the condition index of one sample unit, with every step",
    "serve": "the service of an office, on this machine or by https",
    "entry": "a link by which somebody of the company chooses a new password",
    "pack": "write one job to one file, readable without this program",
    "unpack": "put a packed job into the store, nothing over what is there",
    "backup": "write the whole store to one file, while it is used",
    "restore": "put a backup into a store that has nothing yet",
    "export": "write everything as open files, a folder for each job",
    "completion": "print the completion script for a shell",
}
