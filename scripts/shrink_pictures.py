"""Write the pictures of a folder anew with as few colours as a drawing needs, so that they weigh little."""

import sys
from pathlib import Path

from PIL import Image

#: Ink, paper, a few washes, and the greys of letters between them. [-]
COLOURS = 96

if __name__ == "__main__":
    for path in sorted(Path(sys.argv[1]).glob("*.png")):
        with Image.open(path) as picture:
            few = picture.convert("RGB").quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
        few.save(path, optimize=True)
