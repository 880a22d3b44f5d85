"""The quadrature against an independent sampler (NUTS) on the identical model.

Twelve whole-bag visits of invented players, 60 balls over twelve clubs. The sampler gets what the quadrature
has after its closed-form steps: every club's prior and the drift taken off its carries; spreads, player
factors, mishit share and labels (summed out) are its own. It needs numpyro, not installed with the program:

    python3 -m venv VENV
    VENV/bin/pip install numpyro scipy
    PYTHONPATH=src VENV/bin/python -m bench.bench_nuts

Differences of medians are in posterior standard deviations; the sampler's own noise is about 0.03 of them.
"""

from __future__ import annotations

import argparse
import time
from typing import Any

import numpy as np

from bagwright.dispersion import _kernel as kernel
from bagwright.dispersion import posterior
from bagwright.dispersion import prior as p
from bagwright.dispersion.fit import Dispersions, fit_dispersion
from bench._machine import banner
from bench.world import WORLDS, bag_of, hit, mirrored_passes, new_bag, new_golfer

COUNTS = (3, 3, 4, 4, 4, 5, 5, 5, 6, 6, 7, 8)
DRAWS = 4000


def padded(fits: Dispersions) -> dict[str, np.ndarray]:
    """Turn the visit into arrays: (clubs, most balls) for balls, (clubs,) for priors."""
    cells = list(fits.session.cells.values())
    most = max(cell.shots.n for cell in cells)
    y = np.full((len(cells), most), np.nan)
    x = y.copy()
    for j, cell in enumerate(cells):
        y[j, : cell.shots.n] = cell.shots.carry_m - cell.drift_m
        x[j, : cell.shots.n] = cell.shots.offline_m
    fields = (
        "mean_m",
        "var_m2",
        "side_mean_m",
        "side_var_m2",
        "carry_spread_m",
        "side_spread_m",
        "expected_m",
    )
    priors = {
        name: np.array([getattr(cell.prior, name) for cell in cells]) for name in (*fields, "expected_m")
    }
    return {"there": np.isfinite(y), "y": np.nan_to_num(y), "x": np.nan_to_num(x), **priors}


def model(d: dict[str, Any], logit: float) -> None:
    """Write down the generative model; labels are summed out by the mixture likelihood."""
    import jax.numpy as jnp
    import numpyro
    import numpyro.distributions as dist

    def normal(value: Any, mean: Any, sd: Any) -> Any:
        return -0.5 * ((value - mean) / sd) ** 2 - jnp.log(sd) - 0.5 * jnp.log(2 * jnp.pi)

    clubs = len(d["mean_m"])
    z = numpyro.sample("z", dist.Normal(0, 1).expand([2]))
    tau_c = p.FACTOR_SD * z[0]
    tau_l = p.FACTOR_SD * (p.FACTOR_CORRELATION * z[0] + np.sqrt(1 - p.FACTOR_CORRELATION**2) * z[1])
    share_logit = numpyro.sample("logit", dist.Normal(logit, p.MISHIT_SD))
    own = numpyro.sample("own", dist.Normal(0, p.CLUB_SPREAD_SD).expand([2, clubs]))
    centre = numpyro.sample("centre", dist.Normal(0, 1).expand([2, clubs]))
    mu = numpyro.deterministic("mu", d["mean_m"] + jnp.sqrt(d["var_m2"]) * centre[0])
    eta = numpyro.deterministic("eta", d["side_mean_m"] + jnp.sqrt(d["side_var_m2"]) * centre[1])
    s_c = numpyro.deterministic("s_c", d["carry_spread_m"] * jnp.exp(tau_c + own[0]))
    s_l = numpyro.deterministic("s_l", d["side_spread_m"] * jnp.exp(tau_l + own[1]))
    mu_, eta_, c_, l_, length = (a[:, None] for a in (mu, eta, s_c, s_l, d["expected_m"]))
    solid = normal(d["y"], mu_, c_) + normal(d["x"], eta_, l_)
    wide = jnp.sqrt(c_**2 + (p.MISHIT_LOSS_SD * length) ** 2)
    mishit = normal(d["y"], mu_ - p.MISHIT_LOSS * length, wide) + normal(
        d["x"], eta_, p.MISHIT_SIDE_FACTOR * l_
    )
    flat = -np.log(p.BAD_READ_CARRY_M * p.BAD_READ_SIDE_M)
    not_solid = jnp.logaddexp(np.log1p(-p.BAD_READ_SHARE) + mishit, np.log(p.BAD_READ_SHARE) + flat)
    log_p, log_q = -jnp.logaddexp(0.0, -share_logit), -jnp.logaddexp(0.0, share_logit)
    each = jnp.logaddexp(log_q + solid, log_p + not_solid)
    numpyro.factor("balls", jnp.where(d["there"], each, 0.0).sum())


def sample(d: dict[str, np.ndarray], logit: float, seed: int) -> tuple[dict[str, np.ndarray], float]:
    import jax
    from numpyro.infer import MCMC, NUTS

    start = time.perf_counter()
    chain = MCMC(NUTS(model), num_warmup=1000, num_samples=DRAWS, num_chains=1, progress_bar=False)
    chain.run(jax.random.PRNGKey(seed), d, logit)
    found = {name: np.asarray(value) for name, value in chain.get_samples().items()}
    return found, time.perf_counter() - start


def quadrature(fits: Dispersions) -> dict[str, np.ndarray]:
    """Medians (clubs,) of centres and spreads, and of the shared mishit share (1,)."""
    session = fits.session
    cells = list(session.cells.values())
    weights = [posterior.weights_of(session, cell) for cell in cells]
    half = np.array([0.5])
    grid = session.grid

    def spread(w: np.ndarray, base: float) -> float:
        return base * float(np.exp(kernel.grid_quantiles(half, w.sum(0), grid.log_spread)[0]))

    pairs = list(zip(cells, weights, strict=True))
    found = {
        "mu": [kernel.mixture_quantiles(half, w.carry, c.evidence.carry)[0] for c, w in pairs],
        "eta": [kernel.mixture_quantiles(half, w.side, c.evidence.side)[0] for c, w in pairs],
        "s_c": [spread(w.carry, c.prior.carry_spread_m) for c, w in pairs],
        "s_l": [spread(w.side, c.prior.side_spread_m) for c, w in pairs],
        "logit": [kernel.grid_quantiles(half, weights[0].label_mishit.sum(0), grid.logit_mishit)[0]],
    }
    return {name: np.array(values) for name, values in found.items()}


def longer(fits: Dispersions, a: int, b: int) -> float:
    """P(centre of a > centre of b), both mixtures, by 400 points of b's distribution."""
    cells = list(fits.session.cells.values())
    w_a, w_b = (posterior.weights_of(fits.session, cells[i]) for i in (a, b))
    points = kernel.mixture_quantiles((np.arange(400) + 0.5) / 400, w_b.carry, cells[b].evidence.carry)
    return float(1.0 - kernel.mixture_cdf(points, w_a.carry, cells[a].evidence.carry).mean())


def main() -> None:
    parser = argparse.ArgumentParser(description="The quadrature against NUTS on the identical model.")
    parser.add_argument("--visits", type=int, default=12)
    visits = parser.parse_args().visits
    import jax

    jax.config.update("jax_enable_x64", True)
    banner("numpyro", "jax")
    gaps: dict[str, list[float]] = {"mu": [], "eta": [], "s_c": [], "s_l": [], "logit": []}
    wins, slow, quick = [], [], []
    for k in range(visits):
        rng = np.random.default_rng([20261125, k])
        golfer = new_golfer(rng, WORLDS["T"])
        clubs = new_bag(rng, WORLDS["T"], golfer)
        visit = hit(
            rng, WORLDS["T"], golfer, clubs, mirrored_passes([int(n) for n in rng.permutation(COUNTS)])
        )
        bag = bag_of(golfer, visit.clubs)
        start = time.perf_counter()
        fits = fit_dispersion(visit.table, bag.player, bag)
        shown = dict(fits)
        quick.append(time.perf_counter() - start)
        handicap = fits.session.player.handicap
        drawn, seconds = sample(padded(fits), p.mishit_logit(handicap), k)
        slow.append(seconds)
        ours = quadrature(fits)
        for name, value in ours.items():
            draws = np.log(drawn[name]) if name.startswith("s_") else drawn[name]
            centre = np.log(value) if name.startswith("s_") else value
            gaps[name] += list((centre - np.median(draws, axis=0)) / draws.std(axis=0))
        for a in range(0, len(shown) - 1, 2):
            wins.append(longer(fits, a, a + 1) - float((drawn["mu"][:, a] > drawn["mu"][:, a + 1]).mean()))
        print(f"visit {k + 1}: sampler {seconds:.1f} s, quadrature {1e3 * quick[-1]:.0f} ms", flush=True)
    for name, what in (
        ("mu", "centre of carry"), ("eta", "centre of side"), ("s_c", "carry sd"), ("s_l", "side sd"),
        ("logit", "mishit share"),
    ):  # fmt: skip
        size = np.abs(gaps[name])
        print(
            f"{what:16s} |median difference| in posterior sd: typical {np.median(size):.3f}, "
            f"95 % {np.quantile(size, 0.95):.3f}, largest {size.max():.3f} (n = {len(size)})"
        )
    print(
        f"P(longer): largest difference {np.abs(wins).max():.3f}, 95 % {np.quantile(np.abs(wins), 0.95):.3f}"
    )
    print(
        f"time: sampler {np.median(slow):.1f} s, quadrature {1e3 * np.median(quick[1:]):.0f} ms: "
        f"{np.median(slow) / np.median(quick[1:]):.0f} times quicker (compilation of the sampler included)"
    )


if __name__ == "__main__":
    main()
