"""Many runs at once: the same as one at a time, compiled or not."""

import math
import subprocess
import sys

import numpy as np
import pytest

from bagwright.errors import InputError
from bagwright.turf import Turf, run, run_many
from bagwright.turf import many as module


def landings(n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(7)
    return rng.uniform(0.0, 60.0, n), rng.uniform(0.0, math.pi / 2.0, n), rng.uniform(-5_000.0, 14_000.0, n)


@pytest.mark.parametrize(
    "turf", [Turf(), Turf("soft", "rough"), Turf("firm", "green", 12.0), Turf(lie="sand")]
)
def test_same_as_one_at_a_time(turf: Turf) -> None:
    speed, descent, spin = landings(40)
    many = run_many(speed, descent, spin, turf)
    shots = zip(speed.tolist(), descent.tolist(), spin.tolist(), strict=True)
    one = [run(a, b, c, turf).run_m.value for a, b, c in shots]
    assert many.tolist() == one


def test_compiled_is_the_same_as_python() -> None:
    speed, descent, spin = landings(module.WORTH_COMPILING)
    spin[123] = math.nan
    compiled = run_many(speed, descent, spin)
    assert np.flatnonzero(np.isnan(compiled)).tolist() == [123]
    plain = run_many(speed[:3000], descent[:3000], spin[:3000])
    np.testing.assert_allclose(compiled[:3000], plain, rtol=1e-9, atol=1e-12)


def test_chunks_join(monkeypatch: pytest.MonkeyPatch) -> None:
    speed, descent, spin = landings(50)
    whole = run_many(speed, descent, spin)
    monkeypatch.setattr(module, "CHUNK", 7)
    assert run_many(speed, descent, spin).tolist() == whole.tolist()


def test_nan_and_broadcast_and_empty() -> None:
    got = run_many([28.0, math.nan], 0.6, 2000.0)
    assert got.shape == (2,)
    assert np.isfinite(got[0])
    assert np.isnan(got[1])
    assert np.isnan(run_many([math.nan], 0.6, 2000.0, Turf(lie="sand")))[0]
    assert run_many([], [], []).shape == (0,)


@pytest.mark.parametrize(
    ("numbers", "told"),
    [
        (([28.0, 101.0], 0.6, 2000.0), "landing speed 101 m/s at place 1 is outside"),
        (([28.0, 28.0], [0.6, 2.0], 2000.0), "descent 2 rad at place 1"),
        (([28.0], [0.6], [math.inf]), "landing spin inf rpm at place 0"),
        ((["a"], [0.6], [2000.0]), "landing speed holds something that is not a number"),
        (([[28.0]], [0.6], [2000.0]), "landing speed has shape (1, 1)"),
        (([28.0, 29.0], [0.6, 0.6, 0.6], 2000.0), "the landing numbers have shapes (2,), (3,), (1,)"),
    ],
)
def test_hostile_arrays(numbers: tuple[object, object, object], told: str) -> None:
    with pytest.raises(InputError) as caught:
        run_many(*numbers)  # type: ignore[arg-type]
    assert told in str(caught.value)


def test_one_ball_needs_neither_numpy_nor_numba() -> None:
    code = (
        "import sys; from bagwright.turf import holds, run; run(28.0, .6, 2e3); holds(24., .8, 5e3); "
        "print([m for m in ('numpy', 'numba', 'scipy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
