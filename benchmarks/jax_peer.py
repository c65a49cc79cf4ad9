"""Many rods by jax: shooting from the free tip, one rod written down and ``vmap`` for the rest.

Not among the tools the project needs; the comparison is left out where jax is not installed. The scheme is the one that
suits jax best: classical Runge and Kutta in steps cut at every station and mass, Newton on the tip's angle with its
derivative by forward mode, a fixed number of passes from the nominal rod's angle.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import jax
import jax.numpy as jnp
import numpy as np

jax.config.update("jax_enable_x64", True)

G = 9.80665


def jax_solver(
    s: np.ndarray,
    thickness: np.ndarray,
    masses: np.ndarray,
    stiffness: float,
    line_density: float,
    pull: float,
    tip_angle: float,
    steps: int,
    passes: int,
) -> Callable[[np.ndarray], np.ndarray]:
    """Tips (x, y) of rods of ``ratios`` (rods x nodes) of ``thickness`` at the nodes ``s``.

    ``EI = stiffness d^4``, mass per length ``line_density d^2``, ``masses`` at the nodes; ``steps`` in
    each piece, ``passes`` of Newton.
    """
    h = np.diff(s)
    xi = np.concatenate([np.linspace(1, 0, 2 * steps + 1)[i : i + 3] for i in range(0, 2 * steps, 2)]).reshape(steps, 3)

    def one(ratio: jax.Array) -> jax.Array:
        d = thickness * ratio
        a, b = d[:-1], d[1:]
        mass = line_density * h * (a * a + a * b + b * b) / 3
        beyond = jnp.cumsum((mass + masses[1:])[::-1])[::-1] - mass  # outboard of each piece's end, its own mass too
        part = a[:, None, None] + (b - a)[:, None, None] * xi
        more = (
            line_density * h[:, None, None] * (1 - xi) * (part**2 + part * b[:, None, None] + b[:, None, None] ** 2) / 3
        )
        force = (pull + G * (beyond[:, None, None] + more))[::-1].reshape(-1, 3)
        bend = (1 / (stiffness * part**4))[::-1].reshape(-1, 3)
        step = jnp.repeat(h[::-1] / steps, steps)

        def shot(tip: jax.Array) -> tuple[jax.Array, jax.Array]:
            def slope(state: jax.Array, f: jax.Array, c: jax.Array) -> jax.Array:
                angle, moment = state[0], state[1]
                return jnp.array([-moment * c, -f * jnp.cos(angle), -jnp.cos(angle), -jnp.sin(angle)])

            def advance(state: jax.Array, known: Sequence[jax.Array]) -> tuple[jax.Array, None]:
                f, c, dt = known
                k1 = slope(state, f[0], c[0])
                k2 = slope(state + dt / 2 * k1, f[1], c[1])
                k3 = slope(state + dt / 2 * k2, f[1], c[1])
                k4 = slope(state + dt * k3, f[2], c[2])
                return state + dt / 6 * (k1 + 2 * k2 + 2 * k3 + k4), None

            ended, _ = jax.lax.scan(advance, jnp.array([tip, 0.0, 0.0, 0.0]), (force, bend, step))
            return ended[0], -ended[2:]

        tip = jnp.asarray(tip_angle)
        for _ in range(passes):
            miss, rise, _ = jax.jvp(shot, (tip,), (jnp.asarray(1.0),), has_aux=True)
            tip = tip - miss / rise
        return shot(tip)[1]

    many = jax.jit(jax.vmap(one))
    return lambda ratios: np.asarray(many(ratios))
