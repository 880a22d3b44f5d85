"""Any bag, any player: a table of patterns that a solver can read, or a refusal in words."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.strokes.table import patterns_of

Row = tuple[str, float | None, float | None, tuple[str, ...]]
KINDS = ("driver", "wood", "hybrid", "iron", "wedge")
clubs = st.builds(
    lambda kind, loft, bounce, use: (kind, loft, bounce, use),
    st.sampled_from(KINDS),
    st.one_of(st.none(), st.floats(6.0, 68.0)),
    st.one_of(st.none(), st.floats(0.0, 20.0)),
    st.sampled_from([(), ("tee",), ("not from rough",), ("only from tee",), ("bunkers",)]),
)
players = st.builds(
    lambda handicap, speed, sex, sand: Player(
        handicap=handicap, driver_speed_mps=speed, sex=sex, sand=sand, turf=sand
    ),
    st.one_of(st.none(), st.floats(-6.0, 54.0)),
    st.one_of(st.none(), st.floats(18.0, 60.0)),
    st.sampled_from([None, "female", "male"]),
    st.sampled_from([None, "soft", "firm", "some"]),
)


@settings(max_examples=12)
@given(players, st.lists(clubs, min_size=1, max_size=5))
def test_every_table_can_be_read(
    player: Player, rows: list[tuple[str, float | None, float | None, tuple[str, ...]]]
) -> None:
    made = tuple(
        Club(f"club {i}", kind, stamped_loft_deg=loft, bounce_deg=bounce, use=use)  # type: ignore[arg-type]
        for i, (kind, loft, bounce, use) in enumerate(rows)
    )
    table = patterns_of(Bag(player, made))
    for name in ("parts", "tan_descent", "run_m", "run_sd_m", "putts", "putts_square"):
        assert np.isfinite(getattr(table, name)).all(), name
    used = table.parts[..., 0] > 0.0
    assert (table.parts[..., 3:5][used] > 0.0).all()
    assert (table.tan_descent > 0.0).all()
    assert table.allowed[Lie.TEE].all()
    assert (np.diff(table.putts) > -1e-9).all()
