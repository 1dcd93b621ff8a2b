"""The roles of colour on paper. Meaning is never carried by hue."""

INK = "#1d2321"
PAPER = "#fbfaf6"
HAIRLINE = "#d8d6cd"
#: The paint of the courts: dark enough to be found in print and in the sun, quieter than any mark.
COURT = "#85827a"
MADDER = "#7a2a4a"
WATER = "#c9dce8"
EARTH = "#e6d8c6"
LEAF = "#d3ddcc"
#: The thin shadow of a free piece.
SHADOW = "#a9a79e"
