"""Front weight of a car with its rear axle raised, by statics of a rigid body whose points are turned in the plane."""
from math import asin, cos, sin

L, RAISE, R, M, FRONT, H = 0.285, 0.12, 0.0415, 1.6, 0.608, 0.055
a = asin(RAISE / L)
rear = M - FRONT
# Centre of gravity from the front hub: behind by rear/M L, above the hubs by H - R; turned nose down about the front hub.
x, z = rear / M * L, H - R
x_turned = x * cos(a) - z * sin(a)
front = M * (1 - x_turned / (L * cos(a)))
print(f'front raised {1000 * front:.5f} g, height per gram {1000 * L * cos(a) / (sin(a) * M * 1000):.4f} mm')
