/**
 * The point that a Student's t stays below with chance `p`, by halving on its distribution function.
 * Source: Abramowitz, Stegun 26.7.1, 26.5.8 (continued fraction of the incomplete beta function), evaluated by Lentz's method (from memory); checked against the table of
 * the NIST/SEMATECH e-Handbook, 1.3.6.7.2.
 */
export function studentT(p: number, freedom: number): number {
  if (p < 0.5) return -studentT(1 - p, freedom)
  let [low, high] = [0, 1]
  while (below(high, freedom) < p && high < 1e9) high *= 2
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (below(middle, freedom) < p) low = middle
    else high = middle
  }
  return (low + high) / 2
}

const below = (t: number, freedom: number): number =>
  1 - incompleteBeta(freedom / (freedom + t * t), freedom / 2, 0.5) / 2

function incompleteBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0
  if (x >= 1) return 1
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b))
  return x < (a + 1) / (a + b + 2) ? (front * fraction(x, a, b)) / a : 1 - (front * fraction(1 - x, b, a)) / b
}

function fraction(x: number, a: number, b: number): number {
  const least = 1e-300
  let c = 1
  let d = 1 / notZero(1 - ((a + b) * x) / (a + 1), least)
  let value = d
  for (let m = 1; m <= 300; m++) {
    for (const step of [
      (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m)),
      (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1)),
    ]) {
      d = 1 / notZero(1 + step * d, least)
      c = notZero(1 + step / c, least)
      value *= c * d
    }
    if (Math.abs(c * d - 1) < 1e-15) break
  }
  return value
}

const notZero = (x: number, least: number): number => (Math.abs(x) < least ? least : x)

/** Lanczos, SIAM J. Numer. Anal. B 1 (1964), g = 7, nine terms (coefficients as widely printed, from memory). */
function logGamma(x: number): number {
  const terms = [
    676.5203681218851, -1259.1392167224028, 771.3234287776531, -176.6150291621406, 12.507343278686905,
    -0.13857109526572012, 9.984369578019572e-6, 1.5056327351493116e-7,
  ]
  const y = x - 1
  let sum = 0.9999999999998099
  terms.forEach((t, i) => (sum += t / (y + i + 1)))
  const top = y + 7.5
  return 0.5 * Math.log(2 * Math.PI) + (y + 0.5) * Math.log(top) - top + Math.log(sum)
}
