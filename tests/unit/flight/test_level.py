"""The level: known factors recovered, bad reads borne, few shots drawn to 1, refusals."""

import math

import numpy as np
import pytest

from bagwright.air import STANDARD
from bagwright.errors import InputError
from bagwright.flight._inverse_many import compiled
from bagwright.flight.launch import Launches
from bagwright.flight.level import Level, level
from bagwright.flight.prior import doubt_of_law

BALL = (0.04593, 0.021335, 9.80665, 1.4e-5, 0.0)
IRON = ((53.0, 17.0, 6500.0),)
BAG = ((53.0, 17.0, 6500.0), (40.0, 28.0, 9300.0), (70.0, 12.0, 2700.0))


def flights(theta: np.ndarray) -> np.ndarray:
    n = len(theta)
    out = np.zeros((n, 8, 8))
    at = np.tile((STANDARD.density_kg_m3, STANDARD.viscosity_pa_s), (n, 1))
    compiled()[0](theta, BALL, at, np.tile((0.0, 0.0, 0.0, 10.0), (n, 1)), 1e-7, out)
    return out


def shots(n: int, drag: float, lift: float, seed: int, bag: tuple = IRON, exact: bool = False) -> tuple:
    """Launches as read, carry and apex as read, club labels; true ln drag and ln lift as given."""
    r = np.random.default_rng(seed)
    k = r.integers(0, len(bag), n)
    base = np.array(bag)[k]
    noise = 0.0 if exact else 1.0
    v = base[:, 0] * np.exp(0.03 * r.standard_normal(n))
    launch = np.radians(base[:, 1] + 1.5 * r.standard_normal(n))
    spin = base[:, 2] * np.exp(0.08 * r.standard_normal(n))
    theta = np.zeros((n, 7))
    theta[:, 0], theta[:, 1], theta[:, 2] = np.log(v), launch, np.log(spin * math.pi / 30)
    theta[:, 5] = drag + noise * 0.015 * r.standard_normal(n)
    theta[:, 6] = lift + noise * 0.015 * r.standard_normal(n)
    out = flights(theta)
    carry, apex = out[:, 0, 0], out[:, 1, 0]
    carry = carry * np.exp(noise * (0.01 + 0.5 / carry) * r.standard_normal(n))
    apex = apex * np.exp(noise * (0.03 + 0.2 / apex) * r.standard_normal(n))
    read = Launches.of(
        v * np.exp(noise * 0.01 * r.standard_normal(n)),
        launch + noise * math.radians(0.6) * r.standard_normal(n),
        spin * np.exp(noise * (0.05 + 50 / spin) * r.standard_normal(n)),
    )
    return read, carry, apex, [f"club {i}" for i in k]


def test_a_known_level_is_recovered_from_exact_shots() -> None:
    launches, carry, apex, _ = shots(200, 0.10, -0.08, 1, exact=True)
    found = level(launches, carry, apex)
    assert math.log(found.scale.drag) == pytest.approx(0.10, abs=0.01)
    assert math.log(found.scale.lift) == pytest.approx(-0.08, abs=0.01)
    assert not found.second_open


def test_ranges_hold_known_levels() -> None:
    """Levels drawn from the belief, shots read with their errors: about nine in ten ranges hold the truth."""
    held = []
    doubt = doubt_of_law(0.0213 * 6500 * math.pi / 30 / 53)
    for seed in range(120):
        drag, lift = doubt * np.random.default_rng(500 + seed).standard_normal(2)
        launches, carry, apex, _ = shots(12, drag, lift, seed)
        found = level(launches, carry, apex)
        held.append([found.drag.low <= math.exp(drag) <= found.drag.high,
                     found.lift.low <= math.exp(lift) <= found.lift.high])  # fmt: skip
    share = np.mean(held, axis=0)
    assert (share > 0.82).all(), share
    assert (share < 0.98).all(), share


def test_order_of_shots_does_not_matter() -> None:
    launches, carry, apex, clubs = shots(30, 0.05, 0.02, 2, BAG)
    mixed = np.random.default_rng(3).permutation(30)
    other = Launches.of(
        launches.ball_speed_mps[mixed], launches.launch_rad[mixed], launches.spin_rpm[mixed],
        launches.direction_rad[mixed], launches.spin_axis_rad[mixed],
    )  # fmt: skip
    one = level(launches, carry, apex, clubs)
    two = level(other, carry[mixed], apex[mixed], [clubs[i] for i in mixed])
    assert one.drag == two.drag
    assert one.lift == two.lift
    assert one.clubs == two.clubs


def test_few_shots_stay_near_the_law_and_more_leave_it() -> None:
    far = [abs(math.log(level(*shots(n, 0.2, 0.0, 4)[:2]).scale.drag)) for n in (1, 3, 30)]
    assert far[0] < far[2]
    assert far[0] < 0.2
    assert "Few shots" in " ".join(level(*shots(2, 0.1, 0.0, 4)[:3]).words)


def test_equals_a_direct_maximisation_by_an_outside_library() -> None:
    """scipy.optimize.minimize on the log posterior written out: Student-t errors, fitted factor."""
    from scipy.optimize import minimize

    from bagwright.flight import _level_fit as fitting

    launches, carry, apex, _ = shots(25, 0.08, -0.05, 6)
    found = level(launches, carry, apex)
    n = 25
    theta = np.zeros((n, 7))
    theta[:, 0], theta[:, 1] = np.log(launches.ball_speed_mps), launches.launch_rad
    theta[:, 2] = np.log(launches.spin_rpm * math.pi / 30)
    base = flights(theta)
    slopes = base[:, :2, 1:] / base[:, :2, :1]
    spin = launches.spin_rpm
    sd = np.column_stack(
        [np.full(n, 0.01), np.full(n, math.radians(0.6)), 0.05 + 50 / spin, np.full(n, math.radians(0.8)),
         np.full(n, math.radians(2.5)), np.full((n, 2), 0.015)]
    )  # fmt: skip
    cov = np.einsum("nia,na,nja->nij", slopes, sd**2, slopes)
    cov[:, 0, 0] += (0.01 + 0.5 / carry) ** 2
    cov[:, 1, 1] += (0.03 + 0.2 / apex) ** 2
    doubt = doubt_of_law(float((0.021335 * spin * math.pi / 30 / launches.ball_speed_mps).mean()))
    y = np.log(np.column_stack([carry, apex]))

    def minus_log_posterior(p: np.ndarray) -> float:
        moved = theta.copy()
        moved[:, 5], moved[:, 6] = p[0], p[1]
        r = y - np.log(flights(moved)[:, :2, 0])
        d = np.einsum("ni,nij,nj->n", r, np.linalg.inv(cov), r)
        s2 = math.exp(p[2])
        fit = ((fitting.NU + 2) / 2 * np.log1p(d / (fitting.NU * s2)) + np.log(s2)).sum()
        return float(fit + fitting.S_PRIOR / 2 * (math.log(s2) + 1 / s2) + (p[:2] ** 2).sum() / 2 / doubt**2)

    theirs = minimize(minus_log_posterior, [0.0, 0.0, 0.0], method="Nelder-Mead", tol=1e-9)
    assert math.log(found.scale.drag) == pytest.approx(theirs.x[0], abs=2e-4)
    assert math.log(found.scale.lift) == pytest.approx(theirs.x[1], abs=2e-4)


def test_a_bad_read_hardly_counts_and_is_named() -> None:
    launches, carry, apex, _ = shots(15, 0.0, 0.0, 7)
    good = level(launches, carry, apex)
    carry = carry.copy()
    carry[4] *= 1.3
    spoiled = level(launches, carry, apex)
    assert 4 in spoiled.shots_off
    assert abs(math.log(spoiled.scale.drag / good.scale.drag)) < 0.02
    assert "bad reads" in " ".join(spoiled.words)


def test_carry_alone_fixes_one_combination_and_says_so() -> None:
    launches, carry, apex, _ = shots(10, 0.1, -0.05, 8)
    alone, both = level(launches, carry), level(launches, carry, apex)
    assert alone.second_open
    assert "one combination" in " ".join(alone.words)
    assert not both.second_open
    assert both.lift.high - both.lift.low < alone.lift.high - alone.lift.low
    assert alone.carry_share is not None
    assert alone.carry_share.high - alone.carry_share.low < 0.08


@pytest.mark.parametrize(
    ("kwargs", "word"), [({"adjusted": True}, "adjusted"), ({"spin_measured": False}, "estimated")]
)
def test_adjusted_figures_and_estimated_spin_set_no_level(kwargs: dict, word: str) -> None:
    launches, carry, apex, _ = shots(10, 0.1, 0.1, 9)
    found = level(launches, carry, apex, **kwargs)
    assert found.why_not is not None
    assert word in found.why_not
    assert (found.scale.drag, found.scale.lift) == (1.0, 1.0)
    assert found.drag.low < 0.95
    assert found.drag.high > 1.05


def test_nothing_usable_sets_no_level() -> None:
    launches = Launches.of([50.0, math.nan], [0.3, 0.3], [6000.0, 6000.0])
    found = level(launches, [math.nan, 150.0])
    assert found.why_not is not None
    assert found.shots_used == 0


def test_clubs_have_offsets_of_their_own_where_shots_show_them() -> None:
    launches, carry, apex, clubs = shots(90, 0.0, 0.0, 10, BAG)
    wedge = np.array([c == "club 1" for c in clubs])
    carry = np.where(wedge, carry * 0.96, carry)
    found = level(launches, carry, apex, clubs)
    assert found.clubs["club 1"].value > found.clubs["club 0"].value + 0.01
    assert found.scale_of("club 1").drag == found.clubs["club 1"].value
    assert found.scale_of("no such club") == found.scale


def test_plain_and_compiled_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    from bagwright.flight import _level_fit as fitting

    launches, carry, apex, _ = shots(12, 0.05, 0.0, 11)
    plain = level(launches, carry, apex)
    monkeypatch.setattr(fitting, "COMPILE_FROM", 1)
    assert level(launches, carry, apex).drag.value == pytest.approx(plain.drag.value, rel=1e-7)


def test_columns_that_do_not_fit_are_refused() -> None:
    launches, carry, _, _ = shots(5, 0.0, 0.0, 12)
    with pytest.raises(InputError, match="carry_m"):
        level(launches, carry[:3])
    with pytest.raises(InputError, match="clubs"):
        level(launches, carry, clubs=["iron"])
    with pytest.raises(InputError, match="not all numbers"):
        level(launches, ["far"] * 5)


def test_an_empty_level_is_the_law_as_published() -> None:
    found = level(Launches.of([], [], []), [])
    assert isinstance(found, Level)
    assert found.scale.drag == 1.0
