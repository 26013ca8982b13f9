"""Volts of Chen and Rincon-Mora's cell at half charge under 1C and a minute after it, by integration of its two RC pairs."""
from math import exp
from scipy.integrate import solve_ivp

soc, amps = 0.5, 0.85
open_v = -1.031 * exp(-35 * soc) + 3.685 + 0.2156 * soc - 0.1178 * soc**2 + 0.3201 * soc**3
series = 0.1562 * exp(-24.37 * soc) + 0.07446
r1, c1 = 0.3208 * exp(-29.14 * soc) + 0.04669, -752.9 * exp(-13.51 * soc) + 703.6
r2, c2 = 6.603 * exp(-155.2 * soc) + 0.04984, -6056 * exp(-27.12 * soc) + 4475


def pairs(start, current, seconds):
    rates = lambda _t, v: [current / c1 - v[0] / (r1 * c1), current / c2 - v[1] / (r2 * c2)]
    return solve_ivp(rates, (0, seconds), start, method="DOP853", rtol=1e-12, atol=1e-14).y[:, -1]


print("1C for 60 s, under load", repr(open_v - amps * series - sum(pairs([0, 0], amps, 60))))
print("1C for 300 s, a minute after", repr(open_v - sum(pairs(pairs([0, 0], amps, 300), 0, 60))))
