"""Impact: what a club does to a ball, and what a change of loft, length or speed would do.

All of it an estimate, never a measurement.
"""

from bagwright.impact.changes import WhatIf, carry_per_degree, speed_by_length, what_if, yards_per_degree
from bagwright.impact.gear import Gear, gear_effect
from bagwright.impact.heads import HEADS, Head, HeadKind, friction, head_of, smash_ceiling
from bagwright.impact.strikes import Delivery, Strike, delivery_of, face_share, strike

__all__ = [
    "HEADS",
    "Delivery",
    "Gear",
    "Head",
    "HeadKind",
    "Strike",
    "WhatIf",
    "carry_per_degree",
    "delivery_of",
    "face_share",
    "friction",
    "gear_effect",
    "head_of",
    "smash_ceiling",
    "speed_by_length",
    "strike",
    "what_if",
    "yards_per_degree",
]
