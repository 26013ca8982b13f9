"""A. M. Johnson's motor in two nodes, by SciPy's DOP853 at rtol 1e-12, and by his Euler steps of 0.25 s."""
from scipy.integrate import solve_ivp

R1, R2, T1, T2 = 0.74, 8.96, 4.12, 968
C1, C2 = T1 / R1, T2 / R2
R25, A, I, AMBIENT = 0.836, 0.0039, 24 / 80 / 0.0261, 25


def rates(t, y):
    w, c = y
    heat = I * I * R25 * (1 + A * (w - 25))
    flow = (w - c) / R1
    return [(heat - flow) / C1, (flow - (c - AMBIENT) / R2) / C2]


hot = lambda t, y: y[0] - 130
s = solve_ivp(rates, [0, 30], [AMBIENT, AMBIENT], method='DOP853', rtol=1e-12, atol=1e-12, events=hot)
print(f'winding {s.y[0, -1]:.6f} can {s.y[1, -1]:.7f} 130 C at {s.t_events[0][0]:.4f} s')
y = [AMBIENT, AMBIENT]
for _ in range(120):
    d = rates(0, y)
    y = [y[0] + 0.25 * d[0], y[1] + 0.25 * d[1]]
print(f'Euler {y[0]:.3f}')
