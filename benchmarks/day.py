"""What one person types on a walk in a day: 2,000 marks of five properties each, and 300 photos told of."""

from __future__ import annotations

import random
import uuid

from tests.store.walk.phones import Phone

PROPERTIES = {"width": "3/8 in", "width_max": "1/2 in", "depth": "1 in", "filled": "none", "step": "1/8 in"}
MARKS, PHOTOS = 2000, 300


def a_day() -> Phone:
    """Return the phone at the end of the day: each value typed is an update."""
    chance = random.Random(1)
    phone = Phone(12345)
    pad = str(uuid.UUID(int=1))
    phone.new_item("pads", pad, {"id": "north", "outline": [[0, 0], [160, 0], [160, 120], [0, 120]]})
    for _ in range(MARKS):
        mark, x, y = str(uuid.UUID(int=chance.getrandbits(128))), chance.uniform(5, 120), chance.uniform(5, 110)
        line = [[round(x + 3 * i, 2), round(y + chance.uniform(-1, 1), 2)] for i in range(8)]
        geometry = {"type": "LineString", "coordinates": line}
        phone.new_item("marks", mark, {"mark": "crack", "pad": pad, "geometry": geometry})
        for name, text in PROPERTIES.items():
            phone.set("marks", mark, name, text)
    for i in range(PHOTOS):
        photo = str(uuid.UUID(int=chance.getrandbits(128)))
        phone.new_item("photos", photo, {"name": f"IMG_{i}.jpg", "sha256": "ab" * 32})
    return phone


def envelopes(phone: Phone, most: int) -> list[bytes]:
    """Return what a phone sends of all that was typed on it: requests of so many updates at most."""
    made = [phone.envelope(update) for update in phone.made]
    return [b"".join(made[start : start + most]) for start in range(0, len(made), most)]
