"""Sag, usable charge and charge time of the 2S pack, by NumPy's interpolation and quadrature."""
import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq

VOLTS = [3.0000, 3.5353, 3.6391, 3.6654, 3.6953, 3.7167, 3.7331, 3.7481, 3.7622, 3.7763, 3.7925, 3.8122, 3.8365, 3.8676,
         3.9089, 3.9519, 3.9944, 4.0409, 4.0879, 4.1384, 4.2000]
SOC = np.linspace(0, 1, 21)
rest = lambda s: float(np.interp(s, SOC, VOLTS))
Q, R, CELLS = 6.0, 0.008, 2
for s in (1, 0.5, 0.2):
    print(f'60 A at {s}: {CELLS * rest(s) - 60 * R:.4f} V')
floor = brentq(lambda s: CELLS * rest(s) - 60 * R - 6.4, 0, 1, xtol=1e-15)
print(f'usable to 6.4 V at 60 A: {(1 - floor) * Q:.6f} Ah')
r = R / CELLS
for rate in (1, 2):
    i = rate * Q
    end = brentq(lambda s: rest(s) + i * r - 4.2, 0.2, 1, xtol=1e-15)
    stop = brentq(lambda s: (4.2 - rest(s)) / r - 0.05 * Q, end, 1, xtol=1e-15)
    knots = [s for s in SOC if end < s < stop]
    cv = quad(lambda s: Q * 60 * r / (4.2 - rest(s)), end, stop, points=knots or None, epsabs=1e-13, epsrel=1e-13, limit=500)[0]
    print(f'{rate}C: {(end - 0.2) * Q / i * 60:.5f} min + {cv:.6f} min')
