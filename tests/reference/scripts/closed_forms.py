"""Launches with a closed form, each beside SciPy's DOP853 at rtol 1e-12. Prints both."""
from math import atanh, cosh, exp, log, pi, sqrt, tanh

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G = 9.80665
M, CRR = 1.6, 0.04


def both(name, closed, rhs, until, pick):
    """`until`: terminal event on (t, v, x); `pick`: what to read at it."""
    hit = lambda t, y: until(t, y[0], y[1])
    hit.terminal = True
    hit.direction = 1
    s = solve_ivp(lambda t, y: [rhs(y[0]), y[0]], [0, 60], [0, 0], method='DOP853', rtol=1e-12, atol=1e-13, events=hit)
    numeric = pick(s.t[-1], s.y[0, -1], s.y[1, -1])
    print(f'{name}: closed {closed:.9f} DOP853 {numeric:.9f}')


# Force F0 (1 - v/v0) and rolling: v = ve (1 - exp(-t/tau)).
F0, V0 = 12, 16
tau = M * V0 / F0
ve = V0 * (1 - CRR * M * G / F0)
line = lambda v: (F0 * (1 - v / V0) - CRR * M * G) / M
x_of = lambda t: ve * (t - tau * (1 - exp(-t / tau)))
both('linear line, speed at 3 s', ve * (1 - exp(-3 / tau)), line, lambda t, v, x: t - 3, lambda t, v, x: v)
both('linear line, way at 3 s', x_of(3), line, lambda t, v, x: t - 3, lambda t, v, x: x)
both('linear line, time to 10 m', brentq(lambda t: x_of(t) - 10, 0.1, 10, xtol=1e-14), line, lambda t, v, x: x - 10, lambda t, v, x: t)

# Constant force and drag: v = vt tanh(t a / vt).
F, RHO, CDA = 8, 1.2, 0.02
a = (F - CRR * M * G) / M
vt = sqrt(2 * a * M / (RHO * CDA))
drag = lambda v: a - RHO * CDA * v * v / (2 * M)
both('constant force, speed at 3 s', vt * tanh(3 * a / vt), drag, lambda t, v, x: t - 3, lambda t, v, x: v)
both('constant force, way at 3 s', vt * vt / a * log(cosh(3 * a / vt)), drag, lambda t, v, x: t - 3, lambda t, v, x: x)

# 4WD: mu g - rolling until the motor's line meets the grip, then that line.
KT = 60 / (2 * pi * 2200)
K = 7 / 0.0415
f0 = KT * 7.4 / 0.045 * K * 0.9
v0 = 7.4 / (KT * K)
grip = (0.8 - CRR) * G
vh = v0 * (1 - 0.8 * M * G / f0)
th = vh / grip
xh = vh * vh / (2 * grip)
tau = M * v0 / f0
ve = v0 * (1 - CRR * M * G / f0)
way = lambda t: xh + ve * t - (ve - vh) * tau * (1 - exp(-t / tau))
car = lambda v: (min(0.8 * M * G, f0 * (1 - v / v0)) - CRR * M * G) / M
both('4WD, hand-over time', th, car, lambda t, v, x: v - vh, lambda t, v, x: t)
both('4WD, hand-over speed', vh, car, lambda t, v, x: t - th, lambda t, v, x: v)
both('4WD, time to 10 m', th + brentq(lambda t: way(t) - 10, 0, 10, xtol=1e-14), car, lambda t, v, x: x - 10, lambda t, v, x: t)

# Rear drive: F = mu (m g (1 - f) + F h / L), no resistances.
print(f'rear drive grip: {0.8 * 1.6 * G * 0.62 / (1 - 0.8 * 0.055 / 0.285):.8f} N')
