"""The tables and examples of docs/turf.md and docs/impact.md are what the program computes."""

import math
import re
from pathlib import Path

import pytest

from bagwright.air import air
from bagwright.estimate import Estimate
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.impact import HEADS, Delivery, yards_per_degree
from bagwright.turf import GREEN, Turf, holds, run
from bagwright.turf.ground import TILT_SCALE
from bagwright.units import M_PER_YD, MPS_PER_MPH

DOCS = Path(__file__).parents[2] / "docs"
RAD = math.pi / 180.0
BALLS = {
    "fast drive": (75.0, 10.8, 2600.0),
    "slow drive": (58.0, 13.0, 2900.0),
    "fairway wood": (66.0, 11.0, 3500.0),
    "mid iron": (53.0, 17.0, 6500.0),
    "short iron": (47.0, 22.0, 8200.0),
    "wedge": (40.0, 28.0, 9300.0),
}
TURFS = (Turf("firm"), Turf(), Turf("soft"), Turf(lie="rough"), GREEN)
PAIRS = ((24.0, 28.0, 2.5), (31.0, 35.0, 0.5), (41.0, 45.0, -2.5))


def cell(estimate: Estimate, decimals: int) -> str:
    return "{} ({} to {})".format(
        *(
            f"{round(x, decimals) + 0.0:.{decimals}f}".replace("-", "−")
            for x in (estimate.value, estimate.low, estimate.high)
        )
    )


def turf_row(name: str) -> str:
    speed, launch, spin = BALLS[name]
    flight = fly(Launch(speed, launch * RAD, spin), air(density_kg_m3=1.2))
    landing = (flight.landing_speed_mps, flight.descent_rad, flight.landing_spin_rpm)
    runs = [run(*landing, turf).run_m.scaled(1.0 / M_PER_YD) for turf in TURFS]
    cells = [cell(each, 0 if abs(runs[0].value) > 12.0 else 1) for each in runs]
    chance = holds(*landing).probability
    told = "<3 %" if chance < 0.03 else ">97 %" if chance > 0.97 else f"{100 * chance:.0f} %"
    lands = f"{landing[0]:.1f} m/s, {landing[1] / RAD:.0f}°, {landing[2]:.0f} rpm"
    return f"| {name} | {lands} | " + " | ".join(cells) + f" | {told} |"


def loft_row(mph: float) -> str:
    cells = []
    for strong, weak, clubs_up in PAIRS:
        speed = (mph + 1.2 * clubs_up) * MPS_PER_MPH
        middle = Delivery(speed, ((strong + weak) / 2 - 7) * RAD, -2 * RAD)
        step = 1.2 * MPS_PER_MPH / (weak - strong)
        cells.append(cell(yards_per_degree(middle, HEADS["iron"], (weak - strong) * RAD, step), 1))
    return f"| {mph:.0f} mph | " + " | ".join(cells) + " |"


@pytest.mark.parametrize("name", sorted(BALLS))
def test_runs_of_the_turf_page(name: str) -> None:
    assert turf_row(name) in (DOCS / "turf.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("mph", [70.0, 80.0, 90.0])
def test_yards_a_degree_of_the_impact_page(mph: float) -> None:
    assert loft_row(mph) in (DOCS / "impact.md").read_text(encoding="utf-8")


def test_heads_of_the_impact_page() -> None:
    text = (DOCS / "impact.md").read_text(encoding="utf-8")
    for kind, head in HEADS.items():
        numbers = (1e3 * head.mass_kg, head.still_restitution, 1e7 * head.inertia_kg_m2, 1e3 * head.depth_m)
        assert f"| {kind} | " + " | ".join(f"{x:.4g}" for x in numbers) + " |" in text


def test_firmness_of_the_turf_page() -> None:
    text = (DOCS / "turf.md").read_text(encoding="utf-8")
    assert [TILT_SCALE[name] for name in ("firm", "normal", "soft")] == [1.00, 1.055, 1.125]
    assert "| firm, normal, soft | 1.00, 1.055, 1.125 |" in text


@pytest.mark.parametrize("page", ["turf.md", "impact.md"])
def test_example_runs(page: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = (DOCS / page).read_text(encoding="utf-8")
    examples = re.findall(r"^```python\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert examples
    for example in examples:
        exec(compile(example, page, "exec"), {})  # noqa: S102
    assert "nan" not in capsys.readouterr().out
