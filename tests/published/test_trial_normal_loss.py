"""Value of information against tables and worked examples printed elsewhere."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.trial.value import CarryBelief, carry_worth, unit_normal_loss


@pytest.mark.parametrize(
    ("z", "loss"),
    [
        (0.0, 0.3989),
        (0.25, 0.2863),
        (0.5, 0.1978),
        (1.0, 0.0833),
        (1.5, 0.0293),
        (2.0, 0.0085),
        (3.0, 0.0004),
    ],
)
def test_unit_normal_loss_table(z: float, loss: float) -> None:
    """Unit normal loss integral as in textbooks of operations research; values from memory.

    First tabled in Schlaifer (1959), Probability and Statistics for Business Decisions, table IV.
    """
    assert unit_normal_loss(z) == pytest.approx(loss, abs=5.1e-5)


def test_negative_side_of_the_table() -> None:
    """L(-z) = L(z) + z (same table's note)."""
    assert unit_normal_loss(-1.0) == pytest.approx(unit_normal_loss(1.0) + 1.0)


def test_knowledge_gradient_of_one_measurement() -> None:
    """Frazier, Powell and Dayanik (2008), SIAM J. Control Optim. 47; formula from memory.

    s~ = v / sqrt(v + noise), value s~ f(-|d|/s~), f(z) = z Phi(z) + phi(z); v = 4, noise 12, means 1 apart.
    """
    sd = 4.0 / np.sqrt(4.0 + 12.0)
    belief = CarryBelief(np.array([1.0, 0.0]), np.diag([4.0, 4.0]), np.full(2, np.sqrt(12.0)), np.ones(2))
    z = -1.0 / sd
    phi = np.exp(-z * z / 2.0) / np.sqrt(2.0 * np.pi)
    assert carry_worth(belief, (1, 0)).worth_m == pytest.approx(sd * (z * 0.15865525393145707 + phi))
    assert carry_worth(belief, (1, 0)).worth_m == pytest.approx(0.08331547058768, abs=1e-9)


def test_value_of_information_is_not_concave() -> None:
    """Frazier and Powell (2010), Decision Analysis 7: the value a ball is greatest at several balls."""
    belief = CarryBelief(np.array([3.0, 0.0]), np.diag([1.0, 1.0]), np.full(2, 10.0), np.ones(2))
    each = [carry_worth(belief, (k, k)).worth_m / k for k in range(1, 65)]
    assert int(np.argmax(each)) > 7
