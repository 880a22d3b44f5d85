"""The fast schedule against the adaptive method, which is held against SciPy and published rows elsewhere."""

import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bagwright.air import CALM, Wind, air
from bagwright.errors import InputError
from bagwright.flight import batch
from bagwright.flight.fly import fly, fly_many
from bagwright.flight.launch import FLIGHT_NUMBERS, Launches, Scale
from bench._flights import ROUGH, columns_of, domain, hostile, scipy_flight

YARD = 0.9144


def flown(rows: np.ndarray, fast: bool, **more: Any) -> Any:
    speed, up, side, rpm, axis, x, y = rows.T
    given = {"air": air(density_kg_m3=1.2), "wind": Wind(5.0, 0.0), "wind_xy_mps": (x, y), **more}
    return fly_many(Launches.of(speed, up, rpm, side, axis), fast=fast, **given)


def miss_yd(a: Any, b: Any) -> np.ndarray:
    return np.asarray(np.hypot(a.downrange_m - b.downrange_m, a.offline_m - b.offline_m) / YARD)


def test_golf_is_within_the_promise() -> None:
    rows = domain(2000, 1)
    fast, slow = flown(rows, True), flown(rows, False)
    assert miss_yd(fast, slow).max() < 1.2e-3
    assert np.abs(fast.apex_m - slow.apex_m).max() < 1e-3
    assert np.abs(fast.time_s - slow.time_s).max() < 3e-4
    assert np.abs(fast.descent_rad - slow.descent_rad).max() < 3e-4
    assert np.abs(fast.landing_speed_mps - slow.landing_speed_mps).max() < 1e-2
    assert np.abs(fast.landing_spin_rpm - slow.landing_spin_rpm).max() < 0.5
    assert not fast.redone.any()


def test_golf_against_scipy() -> None:
    rows = domain(12, 2)
    fast = flown(rows, True)
    # SciPy's DOP853 (Hairer, Norsett and Wanner 1993), with the equations written anew for it.
    exact = np.stack([scipy_flight(row, "DOP853", 1e-11, 1e-11) for row in rows], axis=1)
    assert np.hypot(fast.downrange_m - exact[0], fast.offline_m - exact[1]).max() < 1.2e-3 * YARD
    assert np.abs(fast.apex_m - exact[2]).max() < 1e-3


def test_hostile_is_within_the_promise_or_redone() -> None:
    rows = hostile(4000, 3)
    fast, slow = flown(rows, True), flown(rows, False)
    assert miss_yd(fast, slow).max() < 1e-2
    assert fast.redone.any(), "the adaptive method was never needed: the limits are not tried"
    assert fast.redone.mean() < 0.01


def test_everything_that_may_be_flown_is_within_the_promise_or_redone() -> None:
    rng, n = np.random.default_rng(13), 3000
    rows = np.column_stack([
        rng.uniform(1, 115, n), np.radians(rng.uniform(0.1, 85, n)), np.radians(rng.uniform(-60, 60, n)),
        rng.uniform(0, 20_000, n), np.radians(rng.uniform(-90, 90, n)),
        rng.uniform(-40, 40, n), rng.uniform(-40, 40, n),
    ])  # fmt: skip
    assert miss_yd(flown(rows, True), flown(rows, False)).max() < 1e-2


@pytest.mark.parametrize(
    "more",
    [
        {"density_kg_m3": 0.85},
        {"wind": Wind(5.0, 0.0, roughness_m=0.0002)},
        {"wind": Wind(5.0, 0.0, roughness_m=1.0)},
        {"wind": Wind(5.0, 0.0, at_height_m=2.0)},
        {"wind": Wind(5.0, 0.0, profile="uniform")},
        {"scale": Scale(0.7, 1.4)},
        {"scale": Scale(0.0, 0.0)},
        {"scale": Scale(3.0, 4.0)},
    ],
)
def test_other_air_wind_and_level(more: dict[str, Any]) -> None:
    rows = domain(600, 4)
    assert miss_yd(flown(rows, True, **more), flown(rows, False, **more)).max() < 1e-2


def test_calm_and_the_scalar_agree() -> None:
    rows = domain(70, 5)
    speed, up, side, rpm, axis, *_ = rows.T
    launches = Launches.of(speed, up, rpm, side, axis)
    fast = fly_many(launches, wind=CALM, fast=True)
    for i in (0, 33, 69):
        one = fly(launches[i])
        for name in FLIGHT_NUMBERS:
            assert getattr(fast, name)[i] == pytest.approx(getattr(one, name), rel=2e-5, abs=2e-3)


def test_unknown_launches_stay_unknown_and_change_nothing() -> None:
    rows = domain(300, 6)
    whole = flown(rows, True)
    holed = rows.copy()
    holed[[0, 17, 299], 3] = np.nan
    holed[5, 5] = np.nan
    some = flown(holed, True)
    gone = np.zeros(300, bool)
    gone[[0, 5, 17, 299]] = True
    assert np.isnan(some.carry_m[gone]).all()
    assert np.array_equal(some.carry_m[~gone], whole.carry_m[~gone])
    assert not some.redone[gone].any()


def test_outside_is_refused() -> None:
    rows = domain(10, 7)
    rows[4, 0] = np.inf
    with pytest.raises(InputError, match="launch 5"):
        flown(rows, True)


def test_threads_and_blocks_change_nothing() -> None:
    columns = columns_of(domain(3 * batch.CHUNK + 77, 8))
    one = batch.fly_batch(columns, ROUGH, threads=1)
    four = batch.fly_batch(columns, ROUGH, threads=4)
    assert np.array_equal(one.rows, four.rows, equal_nan=True)
    few = batch.fly_batch(batch.Columns(*(each[:65] for each in columns)), ROUGH)
    assert np.array_equal(few.rows, one.rows[:, :65])


def test_nothing_flown_gives_nothing() -> None:
    none = batch.fly_batch(columns_of(domain(1, 9)[:0]), ROUGH)
    assert none.rows.shape == (12, 0)


def test_a_broken_flight_is_marked() -> None:
    # Not a number and infinite must never count as sure, whatever the doubt says.
    rows = np.ones((14, 3), np.float32)
    rows[9] = 0.05
    rows[8] = 0.01
    rows[0, 1], rows[3, 2] = np.nan, np.inf
    own = columns_of(domain(3, 10))
    assert batch._sure(rows, own).tolist() == [True, False, False]
    rows[9] = 0.02
    assert batch._sure_of_long(rows, np.zeros(3, bool)).tolist() == [True, False, False]


def test_which_leave_the_law_is_seen() -> None:
    rows = domain(3000, 11)
    fast, slow = flown(rows, True), flown(rows, False)
    assert 0.1 < slow.extrapolated.mean() < 0.9
    assert (fast.extrapolated != slow.extrapolated).mean() < 0.015


def test_compile_tells_its_progress(capsys: pytest.CaptureFixture[str]) -> None:
    told: list[str] = []
    batch.compile_kernels(told.append)
    assert len(told) == 2
    assert all("kernel" in text for text in told)
    assert capsys.readouterr().out == ""


def test_a_slow_start_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    monkeypatch.setattr(batch, "_SLOW_COMPILE_S", 0.0)
    with batch._Notice(said.append):
        time.sleep(0.05)
    assert "once on this machine" in said[0]


def test_one_flight_never_loads_numba() -> None:
    program = (
        "import sys; from bagwright.flight.fly import fly; from bagwright.flight.launch import Launch; "
        "fly(Launch(60.0, 0.2, 3000.0)); print('numba' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    assert said.stdout.strip() == "False"


def test_kernels_run_where_nothing_can_be_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    from bagwright.flight import _kernel_lanes

    asked: list[bool] = []

    def njit(**options: Any) -> Any:
        asked.append("cache" in options)
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return lambda function: function

    monkeypatch.setattr(_kernel_lanes, "njit", njit)
    assert _kernel_lanes.kept(len) is len
    assert asked == [True, False]


def test_card_kernel_in_the_simulator() -> None:
    # The card's kernel as plain Python, by numba's simulator, against the adaptive method.
    program = """
import numpy as np
from importlib import import_module
import_module("numba.cuda.libdevice").rsqrtf = lambda x: np.float32(1) / np.sqrt(x)
from bagwright.flight import _kernel_cuda as card, batch
from bench._flights import ROUGH, columns_of, domain, scipy_flight
rows = domain(8, 12)
inp = batch.packed(columns_of(rows), ROUGH, 8)
out = np.full((14, 8), np.nan, np.float32)
share, again = batch.schedule_of(batch._NODES, batch._REST_AFTER)
card.fly_log[1, 8](inp, out, share, again, batch.setting_of(ROUGH))
exact = np.stack([scipy_flight(row, "DOP853", 1e-10, 1e-10) for row in rows], axis=1)
print(np.hypot(*(out[:2] - exact[:2])).max())
"""
    root = Path(__file__).resolve().parents[3]
    said = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", program],
        check=True, capture_output=True, text=True, cwd=root,
        env={**os.environ, "NUMBA_ENABLE_CUDASIM": "1"},
    )  # fmt: skip
    assert float(said.stdout) < 1.2e-3 * YARD
