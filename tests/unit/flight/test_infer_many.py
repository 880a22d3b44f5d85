"""Many shots at once: the answers of one at a time, and ranges that hold what they say they hold."""

import math

import numpy as np
import pytest

from bagwright.errors import InputError
from bagwright.flight.infer import infer
from bagwright.flight.infer_many import infer_many
from bagwright.flight.launch import Launches, Scale
from bagwright.flight.prior import prior
from bagwright.flight.seen import Seen

COLUMNS = {
    "carry_m": np.array([150.0, 150.0, 228.0, 91.0, np.nan]),
    "apex_m": np.array([27.0, np.nan, 30.0, 25.0, np.nan]),
    "club_speed_mps": np.array([np.nan, np.nan, 47.0, np.nan, np.nan]),
}
KINDS = [None, "iron", "driver", "wedge", None]


def test_the_answers_are_those_of_one_at_a_time() -> None:
    many = infer_many(COLUMNS, KINDS)
    for i in range(4):
        figures = {n: float(v[i]) for n, v in COLUMNS.items() if np.isfinite(v[i])}
        one = infer(Seen(**figures, club_kind=KINDS[i]))
        for name in ("ball_speed_mps", "launch_rad", "spin_rpm", "carry_m", "apex_m", "descent_rad"):
            range_ = getattr(one, name)
            assert many.value[name][i] == pytest.approx(range_.value, rel=2e-4), (i, name)
            width = range_.high - range_.low
            assert many.low[name][i] == pytest.approx(range_.low, abs=0.1 * width), (i, name)
            assert many.high[name][i] == pytest.approx(range_.high, abs=0.1 * width), (i, name)
        assert many.misfit_sd[i] == pytest.approx(one.misfit_sd, abs=1e-3)
    assert np.isnan(many.value["carry_m"][4])
    assert many.kind[4] == ""
    assert many.settled[:4].all()


def test_order_does_not_matter_and_scales_are_taken_by_shot() -> None:
    forth = infer_many({n: v[:4] for n, v in COLUMNS.items()}, KINDS[:4])
    back = infer_many({n: v[:4][::-1] for n, v in COLUMNS.items()}, KINDS[:4][::-1])
    assert np.array_equal(forth.value["spin_rpm"], back.value["spin_rpm"][::-1])
    drag = np.array([1.0, 1.1])
    two = infer_many({"carry_m": [150.0, 150.0], "apex_m": [27.0, 27.0]}, "iron", scale=Scale(drag, 1.0))
    assert two.value["ball_speed_mps"][1] > two.value["ball_speed_mps"][0] + 0.5


@pytest.mark.parametrize(
    ("columns", "kind", "match"),
    [
        ({"carry_m": [150.0, -3.0]}, None, r"carry_m\[1\]"),
        ({"total_m": [150.0]}, None, "total_m"),
        ({"carry_m": [150.0], "apex_m": [1.0, 2.0]}, None, "lengths"),
        ({"carry_m": ["far"]}, None, "not all numbers"),
        ({"carry_m": [150.0]}, "putter", "putter"),
        ({"carry_m": [150.0]}, ["iron", "iron"], "2 club kinds"),
        ({"carry_m": [[150.0]]}, None, "dimensions"),
    ],
)
def test_what_cannot_be_used_is_refused(columns: dict, kind: object, match: str) -> None:
    with pytest.raises(InputError, match=match):
        infer_many(columns, kind)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("iron", ("carry_m", "apex_m")),
        ("driver", ("carry_m", "apex_m")),
        ("iron", ("carry_m",)),
        ("wedge", ("carry_m", "ball_speed_mps")),
        ("driver", ("ball_speed_mps",)),
    ],
)
def test_ninety_percent_ranges_hold_the_truth_nine_times_in_ten(kind: str, names: tuple[str, ...]) -> None:
    """Truths drawn from the belief, figures read with their errors; coverage 85 to 95 % within the noise."""
    from bagwright.flight._inverse_many import compiled
    from bagwright.flight.prior import doubt_of_law
    from bagwright.flight.seen import READINGS

    n = 400
    draw = np.random.default_rng(7)
    before = prior(kind)
    doubt = doubt_of_law(0.021335 * math.exp(before.mean[2] - before.mean[0]))
    theta = np.zeros((n, 7))
    theta[:, :5] = np.array(before.mean) + draw.standard_normal((n, 5)) @ np.array(before.root).T
    theta[:, 5:] = doubt * draw.standard_normal((n, 2))
    theta[:, 1] = np.maximum(theta[:, 1], 0.03)
    out = np.zeros((n, 8, 8))
    from bagwright.air import STANDARD

    at = np.tile((STANDARD.density_kg_m3, STANDARD.viscosity_pa_s), (n, 1))
    calm = np.tile((0.0, 0.0, 0.0, 10.0), (n, 1))
    compiled()[0](theta, (0.04593, 0.021335, 9.80665, 1.4e-5, 0.0), at, calm, 1e-6, out)
    truth = {
        "carry_m": out[:, 0, 0], "apex_m": out[:, 1, 0], "descent_rad": out[:, 2, 0],
        "ball_speed_mps": np.exp(theta[:, 0]), "launch_rad": theta[:, 1],
        "spin_rpm": np.exp(theta[:, 2]) * 30 / math.pi,
    }  # fmt: skip
    figures = {}
    for name in names:
        sd = READINGS[name].share * truth[name] + READINGS[name].fixed
        figures[name] = np.maximum(truth[name] + sd * draw.standard_normal(n), 1.0)
    found = infer_many(figures, kind)
    for name, true in truth.items():
        share = float(np.mean((found.low[name] <= true) & (true <= found.high[name])))
        assert 0.82 <= share <= 0.97, (name, share)
    assert found.settled.mean() > 0.97


def test_launches_can_be_made_of_the_answer() -> None:
    found = infer_many({"carry_m": [150.0], "apex_m": [27.0]}, "iron")
    one = Launches.of(*(found.value[n] for n in ("ball_speed_mps", "launch_rad", "spin_rpm")))
    assert one.sensible().all()
