#!/usr/bin/env python3
"""Independent rigid fit of a part: SciPy's least_squares on the exact model.

A hole at r has the mismatch s + (Rot(w) - 1) r, a wall at r with outward normal
n the step n.(s + (Rot(w) - 1) r) + g, and along the wall (counter-clockwise) the
step changes by -sin(w) per mm. Weights from the stated covariances; covariance
inv(J'J). Run: python3 rigid.py > rigid.json (SciPy 1.10, NumPy 1.24).
"""
import json
import numpy as np
from scipy.optimize import least_squares

rng = np.random.default_rng(20240611)
places = np.array([[-42, -28], [0, -30], [45, -26], [44, 30], [2, 27], [-40, 31]], float)
s, w, g = np.array([0.06, -0.02]), np.deg2rad(0.08), 0.004
covs = []
for i in range(6):
    a = rng.uniform(0, np.pi)
    r = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    covs.append(r @ np.diag(rng.uniform(0.4, 2.0, 2) ** 2 * 1e-6) @ r.T)


def rot(t):
    return np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])


def move(x, p):
    return x[:2] + (rot(x[2]) - np.eye(2)) @ p


holes = [move([*s, w], p) + rng.multivariate_normal([0, 0], c) for p, c in zip(places, covs)]
walls = [  # name, x, y, normal in degrees, u of the mean, u of the drift per mm
    ("right", 60.0, 5.0, 0.0, 0.0011, 4e-5), ("left", -60.0, -3.0, 180.0, 0.0009, None),
    ("top", 4.0, 45.0, 90.0, 0.0012, 3e-5), ("bottom", -7.0, -45.0, 270.0, 0.0010, None)]
steps, drifts = [], []
for _, x, y, a, u, v in walls:
    n = np.array([np.cos(np.deg2rad(a)), np.sin(np.deg2rad(a))])
    steps.append(n @ move([*s, w], np.array([x, y])) + g + rng.normal(0, u))
    drifts.append(None if v is None else -np.sin(w) + rng.normal(0, v))


def residuals(x, with_holes, with_walls, grow):
    out = []
    if with_holes:
        for p, d, c in zip(places, holes, covs):
            e = d - move(x, p) - (x[4] * p if grow else 0)
            out.extend(np.linalg.solve(np.linalg.cholesky(c), e))
    if with_walls:
        for (_, px, py, a, u, v), st, dr in zip(walls, steps, drifts):
            n = np.array([np.cos(np.deg2rad(a)), np.sin(np.deg2rad(a))])
            out.append((st - n @ move(x, np.array([px, py])) - x[3]) / u)
            if v is not None:
                out.append((dr + np.sin(x[2])) / v)
    return np.array(out)


def run(free, **kw):
    def f(q):
        x = np.zeros(5)
        x[free] = q
        return residuals(x, **kw)

    scale = np.array([1e-2, 1e-2, 1e-3, 1e-2, 1e-4])[free]
    r = least_squares(f, np.zeros(len(free)), x_scale=scale, xtol=1e-15, ftol=1e-15, gtol=1e-15, jac="3-point")
    cov = np.linalg.inv(r.jac.T @ r.jac)
    return {"free": free, "x": r.x.tolist(), "cov": cov.tolist(), "chi2": float(2 * r.cost), "dof": len(r.fun) - len(free)}


print(json.dumps({
    "source": "SciPy least_squares, testdata/reference/rigid.py",
    "holes": [{"at": p.tolist(), "d": d.tolist(), "cov": c.tolist()} for p, d, c in zip(places, holes, covs)],
    "walls": [{"name": m[0], "at": m[1:3], "normal_deg": m[3], "u": m[4], "step": st, "u_drift": m[5], "drift": dr}
              for m, st, dr in zip(walls, steps, drifts)],
    "fits": {
        "holes": run([0, 1, 2], with_holes=True, with_walls=False, grow=False),
        "holes and growth": run([0, 1, 2, 4], with_holes=True, with_walls=False, grow=True),
        "walls": run([0, 1, 2, 3], with_holes=False, with_walls=True, grow=False),
        "both": run([0, 1, 2, 3], with_holes=True, with_walls=True, grow=False),
    }}, indent=1))
