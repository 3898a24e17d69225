"""The forecast of a case by scipy's BDF with a sparse Jacobian.

Reads what heat/others_test.go writes, prints the milliseconds it took and
core and mean at every mark. Debian's python3-scipy.
"""

import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import bmat, csr_matrix, eye, identity, kron


def read(words):
    n = [int(next(words)) for _ in range(3)]
    core = int(next(words))
    number = lambda count: np.array([float(next(words)) for _ in range(count)])
    axes = [(number(k), number(k * k).reshape(k, k), number(k), number(2)) for k in n]
    return n, core, axes, number(13), number(4)


def along(mirrored, size, between, half, out):
    """The conduction of one axis, half the span across a cell, and how much warmer the neighbours are."""
    conduct = -between
    conduct[0, 0] -= out[0]
    conduct[-1, -1] -= out[1]
    last = len(size) - 1
    span, warmer = np.zeros_like(between), -2 * np.eye(len(size))
    for i, h in enumerate(half):
        low, high = i - 1 if i > 0 else int(mirrored), min(i + 1, last)
        span[i, high] += h
        span[i, low] -= h
        warmer[i, high] += 1
        warmer[i, low] += 1
    return csr_matrix(conduct / size[:, None]), csr_matrix(span), csr_matrix(warmer)


def main():
    rtol = float(sys.argv[1]) if len(sys.argv) > 1 else 1e-4
    n, core, axes, (around, rise, k1, k2, m, order, kelvin, ref, factor, gel, ramp, bend, boil), (start_c, start_x, until, mark) = read(iter(sys.stdin.read().split()))
    one = [identity(k, format="csr") for k in n]
    every = lambda a, b, c: [kron(kron(a, one[1]), one[2]).tocsr(), kron(kron(one[0], b), one[2]).tocsr(), kron(kron(one[0], one[1]), c).tocsr()]
    conducts, spans, warmers = zip(*(along(axis < 2, *x) for axis, x in enumerate(axes)))
    conduct, spans, warmer = sum(every(*conducts)).tocsr(), every(*spans), bend * sum(every(*warmers)).tocsr()
    weight = np.multiply.outer(np.multiply.outer(axes[0][0], axes[1][0]), axes[2][0]).ravel()
    weight /= weight.sum()
    cells = len(weight)

    def slopes(_, y):
        t, x = y[:cells], y[cells:]
        speed = np.exp(-kelvin * (1 / (t + 273.15) - 1 / (ref + 273.15)))
        span = 2 * np.sqrt(ramp**2 / 4 + sum((s @ t) ** 2 for s in spans))
        speed *= 1 + (factor - 1) * np.clip((t + warmer @ t - gel) / span + 0.5, 0, 1)
        dx = speed * (k1 + k2 * np.maximum(x, 0) ** m) * np.maximum(1 - x, 0) ** order
        dt = conduct @ (t - around) + rise * dx
        dt[(t >= boil) & (dt > 0)] = 0
        return np.concatenate([dt, dx])

    pattern = bmat([[conduct != 0, eye(cells)], [eye(cells), eye(cells)]])
    began = time.process_time()
    run = solve_ivp(slopes, (0, until), np.concatenate([np.full(cells, start_c), np.full(cells, start_x)]), "BDF", np.arange(0, until + mark / 2, mark), rtol=rtol, atol=np.concatenate([np.full(cells, 100 * rtol), np.full(cells, rtol)]), jac_sparsity=pattern)
    print(1000 * (time.process_time() - began), run.nfev)
    for y in run.y.T:
        print(y[core], weight @ y[:cells])


main()
