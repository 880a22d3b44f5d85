"""The impact of a rigid sphere that leaves the face rolling, and the heads it meets.

Stands here, below both, because what is believed of a strike (`prior`) and what a delivery gives
(`bagwright.impact`) rest on the same two lines.
"""

from __future__ import annotations

from bagwright.flight.launch import BALL_MASS_KG

HEAD_KG: dict[str, float] = {"driver": 0.200, "wood": 0.215, "hybrid": 0.235, "iron": 0.260, "wedge": 0.295}
"""Mass of the usual head by kind of club: the driver's from a worked row, the others judgement."""


def rolling_exit(
    normal_mps: float, along_mps: float, head_kg: float, restitution: float
) -> tuple[float, float]:
    """Speed of the ball along the face's normal and along the face, in m/s, when it leaves rolling.

    v_n = V_n (1 + e)/(1 + m/M), v_t = V_t/(1 + m/M + 5/2) of the head's speeds V at mass M, ball mass m
    (Penner 2001, American Journal of Physics 69, 563, form read second-hand).
    """
    share = BALL_MASS_KG / head_kg
    return normal_mps * (1.0 + restitution) / (1.0 + share), along_mps / (1.0 + share + 2.5)
