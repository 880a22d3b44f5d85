"""Par where nobody says it: by the hole's length.

Boundaries as printed for rating courses: for men a par 4 starts at 251 yd and a par 5 at 471 yd (R&A and
USGA, Course Rating System Manual of 2020, as a national association's magazine of 2014 spells it out: a
scratch player's reach of 250 yd and 470 yd). For women they are 211 yd and 401 yd.
"""

from __future__ import annotations

from bagwright.units import M_PER_YD
from bagwright.words import tell

STARTS_YD = {"men": (251.0, 471.0), "women": (211.0, 401.0)}


def par_by_length(length_m: float, who: str = "men") -> int:
    """Give the par of a hole of this length."""
    yards = round(length_m / M_PER_YD)
    four, five = STARTS_YD[who]
    return 3 if yards < four else 4 if yards < five else 5


def reading(length_m: float) -> str:
    """Say how a missing par was read."""
    four, five = STARTS_YD["men"]
    return tell(
        "par {par}, by its length of {length:.0f} m (par 4 from {four:.0f} yd, par"
        " 5 from {five:.0f} yd, as courses are rated for men)",
        par=par_by_length(length_m),
        length=length_m,
        four=four,
        five=five,
    )
