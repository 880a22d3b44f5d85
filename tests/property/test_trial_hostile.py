"""Whatever a shot table holds, a verdict is whole, or an error says what to do; nothing else comes out."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.plain import to_json
from bagwright.shots.record import Mark, Shot, ShotTable
from bagwright.trial.verdict import judge
from tests.unit.trial.visits import wedge_bag

numbers = st.one_of(st.none(), st.floats(0.0, 300.0), st.sampled_from([-5.0, 1e9, math.inf, 99.0, 99.0]))
hits = st.builds(
    lambda club, swing, carry, side, speed, change, ball, visit, mark, least: Shot(
        club, 1, swing=swing, carry_m=carry, offline_m=side, ball_speed_mps=speed, descent_rad=speed,
        change=change, ball=ball, visit=visit, mark=mark, carry_at_least=least,
    ),
    st.sampled_from(["Gap", "50 X", "52 Y", "PW", "", "=1+1"]),
    st.sampled_from(["stock", "stock", "stock", "three-quarter", "low"]),
    numbers,
    numbers,
    numbers,
    st.sampled_from([""] * 12 + ["tip"]),
    st.sampled_from([""] * 12 + ["soft"]),
    st.sampled_from(["2026-04-18", "2026-05-09"]),
    st.sampled_from([None, None, Mark("mishit", "thin"), Mark("warm-up"), Mark("bad-read")]),
    st.booleans(),
)  # fmt: skip


@settings(max_examples=60)
@given(
    st.one_of(st.lists(hits, max_size=6), st.lists(hits, min_size=14, max_size=30)),
    st.sampled_from(["Gap", "Gap,50 X", "50 X,52 Y"]),
    st.sampled_from(["miss", "carry"]),
)
def test_any_table_gives_a_verdict_or_a_plain_error(found: list[Shot], slot: str, by: str) -> None:
    table = ShotTable.of([replace(shot, order=i + 1) for i, shot in enumerate(found)])
    try:
        verdict = judge(table, slot, wedge_bag(), by=by, width_m=20.0)  # type: ignore[arg-type]
    except InputError as error:
        assert error.message  # noqa: PT017 - an error must say something
        assert error.next_step  # noqa: PT017
        return
    assert 0.5 <= verdict.probability <= 1.0
    assert verdict.choice in {c.name for c in verdict.candidates}
    assert verdict.shots_used + len(verdict.shots_left_out) == table.n
    assert len({out.index for out in verdict.shots_left_out}) == len(verdict.shots_left_out)
    for candidate in verdict.candidates:
        assert 0.0 < candidate.miss_m.low <= candidate.miss_m.value <= candidate.miss_m.high < 1000.0
    assert "nan" not in verdict.sentence.lower()
    assert "null" not in to_json(verdict.dispersion.lines[0].carry_sd_m)
