"""The company's logo: read as a picture, and written anew, so that nothing of the file that came in is kept."""

from __future__ import annotations

import io
import warnings

from PIL import Image

from courtwright.errors import InputError
from courtwright.says import say

#: Largest file taken, most picture points opened, and longest side kept. [bytes], [px], [px]
MOST_BYTES, _MOST_PIXELS, _LONGEST = 1_000_000, 16_000_000, 1200


def clean_logo(data: bytes) -> bytes:
    """Return a logo as a PNG of ours: pixels and nothing else.

    Parameters
    ----------
    data : bytes
        A PNG or JPEG file.

    Raises
    ------
    InputError
        If it is neither, is broken, or too large.
    """
    if len(data) > MOST_BYTES:
        raise _refused()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # odd tags; nothing of them is kept
            with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
                if picture.width * picture.height > _MOST_PIXELS:
                    raise _refused()
                # In RGBA nothing hides: no palette, no profile, no second picture.
                plain = picture.convert("RGBA")
    except InputError:
        raise
    except (Image.DecompressionBombError, OSError, SyntaxError, ValueError, ArithmeticError, LookupError) as error:
        raise _refused() from error
    except (TypeError, MemoryError) as error:
        raise _refused() from error
    plain.thumbnail((_LONGEST, _LONGEST))
    clean = Image.frombytes("RGBA", plain.size, plain.tobytes())
    written = io.BytesIO()
    clean.save(written, "PNG", optimize=True)
    return written.getvalue()


def _refused() -> InputError:
    return InputError(say("desk.logo", most=MOST_BYTES / 1e6), where="logo", fix=say("desk.logo-do"))
