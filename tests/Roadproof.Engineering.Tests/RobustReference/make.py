"""Two rigs and two parts' lots, with a few wild units; the robust offset by numpy and scipy alone.

Location: scipy.optimize.least_squares with Huber's loss (k = 1.345 scales) over all coefficients; scale: Huber's second
proposal, its constant by numerical integration; both in turn until they stand still. Run: python3 make.py
"""
import numpy as np
from scipy.optimize import least_squares
from scipy.integrate import quad
from scipy.stats import norm

rng = np.random.default_rng(7)
n = 60
rig = rng.integers(0, 2, n)
grease = np.minimum(np.arange(n) // 22, 2)
rotor = np.minimum((np.arange(n) + 14) // 31, 2)
y = 17 + 0.5 * rig + np.array([0, 1.2, -0.7])[grease] + np.array([0, 0.4, 2.0])[rotor] + 0.3 * rng.standard_normal(n)
y[[5, 18, 40]] += [6, -9, 15]

X = np.column_stack([np.ones(n)] + [grease == k for k in (1, 2)] + [rotor == k for k in (1, 2)] + [rig == 1]).astype(float)
p = np.linalg.matrix_rank(X)
beta = quad(lambda z: np.clip(z, -1.345, 1.345) ** 2 * norm.pdf(z), -12, 12, points=[-1.345, 1.345])[0]
b = np.linalg.lstsq(X, y, rcond=None)[0]
s = np.sqrt(np.sum((y - X @ b) ** 2) / (n - p))
for _ in range(300):
    s = s * np.sqrt(np.sum(np.clip((y - X @ b) / s, -1.345, 1.345) ** 2) / ((n - p) * beta))
    b = least_squares(lambda c: y - X @ c, b, loss="huber", f_scale=1.345 * s, xtol=1e-15, ftol=1e-15, gtol=1e-15).x

r = (y - X @ b) / s
psi, inside = np.clip(r, -1.345, 1.345), (np.abs(r) < 1.345).mean()
K = 1 + p / n * (1 - inside) / inside
se = np.sqrt((K * s) ** 2 * (psi @ psi) / (n - p) / inside**2 * np.linalg.inv(X.T @ X)[-1, -1])
with open("units.csv", "w") as f:
    f.write(f"# offset {b[-1]:.10g}, standard error {se:.10g}, scale {s:.10g}; numpy {np.__version__}\n")
    f.write("rig,grease,rotor,value\n")
    f.writelines(f"rig{rig[i] + 1},g{grease[i]},r{rotor[i]},{y[i]:.12g}\n" for i in range(n))
