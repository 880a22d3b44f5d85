"""What the clubs of a bag tell about each other: the player's length and today's side, in closed form.

Both are the normal model y_k ~ N(x, s_k^2), x ~ N(m, v): precisions add. Every club gets the answer of the
*other* clubs, so that its own shots are never counted twice.
"""

from __future__ import annotations

from typing import NamedTuple


class Message(NamedTuple):
    """What one club says about a shared quantity: value and variance."""

    value: float
    variance: float


class Shared(NamedTuple):
    """A shared quantity: mean and variance."""

    mean: float
    variance: float


def combine(prior: Shared, messages: list[Message]) -> Shared:
    """Posterior of the shared quantity from the prior and all messages."""
    precision, total = 1.0 / prior.variance, prior.mean / prior.variance
    for message in messages:
        precision += 1.0 / message.variance
        total += message.value / message.variance
    return Shared(total / precision, 1.0 / precision)


def leave_one_out(prior: Shared, messages: dict[int, Message]) -> tuple[Shared, dict[int, Shared]]:
    """Give the shared quantity from all clubs, and for each club from the others."""
    everyone = combine(prior, list(messages.values()))
    precision, total = 1.0 / everyone.variance, everyone.mean / everyone.variance
    others = {}
    for k, message in messages.items():
        rest = precision - 1.0 / message.variance
        others[k] = Shared((total - message.value / message.variance) / rest, 1.0 / rest)
    return everyone, others


def likelihood_of(posterior_mean: float, posterior_var: float, mean: float, var: float) -> Message | None:
    """Divide a normal posterior by its prior: what the data said; None when they said next to nothing."""
    precision = 1.0 / posterior_var - 1.0 / var
    if precision * var < 1e-3:
        return None
    return Message((posterior_mean / posterior_var - mean / var) / precision, 1.0 / precision)
