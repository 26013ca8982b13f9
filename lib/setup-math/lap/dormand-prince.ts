import { powers, type DriveEquations } from './drive-equations'

/**
 * One explicit Runge-Kutta step of order 5 with an embedded order-4 error estimate, first-same-as-last. The ledger's powers are
 * integrated by the same weights.
 * Source: J. R. Dormand, P. J. Prince, J. Comp. Appl. Math. 6 (1980) 19-26; coefficients as in Hairer, Nørsett, Wanner,
 * Solving ODEs I, table II.5.2.
 */
export class DormandPrince {
  readonly y0: Float64Array
  readonly y1: Float64Array
  private readonly stage: Float64Array
  private readonly k: Float64Array
  private readonly within: Float64Array
  private readonly watts = new Float64Array(7 * powers)
  private readonly n: 3 | 5

  constructor(readonly equations: DriveEquations) {
    this.n = equations.size
    this.y0 = new Float64Array(this.n)
    this.y1 = new Float64Array(this.n)
    this.stage = new Float64Array(this.n)
    this.k = new Float64Array(7 * this.n)
    this.within = new Float64Array(5 * this.n)
  }

  /** Evaluates at the step's origin. Call after anything of state or mode has changed. */
  begin(): void {
    this.equations.evaluate(0, this.y0, this.k, 0, this.watts, 0)
  }

  /** Rate of a state slot at the origin. */
  rate0(slot: number): number {
    return this.k[slot] as number
  }

  /** The attempt that goes nowhere: the equations are left evaluated at the origin. */
  stay(): void {
    this.y1.set(this.y0)
    this.equations.evaluate(0, this.y1, this.k, 6 * this.n, this.watts, 6 * powers)
  }

  /** Tries a step of h seconds into `y1`; the equations are left evaluated there. Returns the error relative to tolerance 1. */
  attempt(h: number, absolute: number, relative: number): number {
    const { n, k, y0, y1, stage, equations: eq, watts } = this
    for (let i = 0; i < n; i++) stage[i] = (y0[i] as number) + h * 0.2 * (k[i] as number)
    eq.evaluate(0.2 * h, stage, k, n, watts, powers)
    for (let i = 0; i < n; i++)
      stage[i] = (y0[i] as number) + h * (0.075 * (k[i] as number) + 0.225 * (k[n + i] as number))
    eq.evaluate(0.3 * h, stage, k, 2 * n, watts, 2 * powers)
    for (let i = 0; i < n; i++) {
      stage[i] =
        (y0[i] as number) +
        h *
          ((44 / 45) * (k[i] as number) -
            (56 / 15) * (k[n + i] as number) +
            (32 / 9) * (k[2 * n + i] as number))
    }
    eq.evaluate(0.8 * h, stage, k, 3 * n, watts, 3 * powers)
    for (let i = 0; i < n; i++) {
      stage[i] =
        (y0[i] as number) +
        h *
          ((19372 / 6561) * (k[i] as number) -
            (25360 / 2187) * (k[n + i] as number) +
            (64448 / 6561) * (k[2 * n + i] as number) -
            (212 / 729) * (k[3 * n + i] as number))
    }
    eq.evaluate((8 / 9) * h, stage, k, 4 * n, watts, 4 * powers)
    for (let i = 0; i < n; i++) {
      stage[i] =
        (y0[i] as number) +
        h *
          ((9017 / 3168) * (k[i] as number) -
            (355 / 33) * (k[n + i] as number) +
            (46732 / 5247) * (k[2 * n + i] as number) +
            (49 / 176) * (k[3 * n + i] as number) -
            (5103 / 18656) * (k[4 * n + i] as number))
    }
    eq.evaluate(h, stage, k, 5 * n, watts, 5 * powers)
    for (let i = 0; i < n; i++) {
      y1[i] =
        (y0[i] as number) +
        h *
          ((35 / 384) * (k[i] as number) +
            (500 / 1113) * (k[2 * n + i] as number) +
            (125 / 192) * (k[3 * n + i] as number) -
            (2187 / 6784) * (k[4 * n + i] as number) +
            (11 / 84) * (k[5 * n + i] as number))
    }
    eq.evaluate(h, y1, k, 6 * n, watts, 6 * powers)
    let worst = 0
    for (let i = 0; i < n; i++) {
      const e =
        h *
        ((71 / 57600) * (k[i] as number) -
          (71 / 16695) * (k[2 * n + i] as number) +
          (71 / 1920) * (k[3 * n + i] as number) -
          (17253 / 339200) * (k[4 * n + i] as number) +
          (22 / 525) * (k[5 * n + i] as number) -
          (1 / 40) * (k[6 * n + i] as number))
      const ratio = Math.abs(e) / (absolute + relative * Math.abs(y1[i] as number))
      if (ratio > worst) worst = ratio
    }
    return worst
  }

  /**
   * Keeps the attempted step of h as a polynomial of order 4 in its share, for `look`. Both ends are met.
   * Source: Hairer, Nørsett, Wanner, Solving ODEs I, II.6, dense output of the pair (from memory; its order is tested).
   */
  keep(h: number): void {
    const { n, k, y0, y1, within } = this
    for (let i = 0; i < n; i++) {
      const whole = (y1[i] as number) - (y0[i] as number)
      const bend = h * (k[i] as number) - whole
      within[i] = y0[i] as number
      within[n + i] = whole
      within[2 * n + i] = bend
      within[3 * n + i] = whole - h * (k[6 * n + i] as number) - bend
      within[4 * n + i] =
        h *
        ((-12715105075 / 11282082432) * (k[i] as number) +
          (87487479700 / 32700410799) * (k[2 * n + i] as number) -
          (10690763975 / 1880347072) * (k[3 * n + i] as number) +
          (701980252875 / 199316789632) * (k[4 * n + i] as number) -
          (1453857185 / 822651844) * (k[5 * n + i] as number) +
          (69997945 / 29380423) * (k[6 * n + i] as number))
    }
  }

  /** The kept step's state at `x` of its `h` seconds into `y1`; the equations are left evaluated there. One look for the six of an attempt. */
  look(x: number, h: number): void {
    const { n, within, y1 } = this
    const t = x / h
    const u = 1 - t
    for (let i = 0; i < n; i++) {
      y1[i] =
        (within[i] as number) +
        t *
          ((within[n + i] as number) +
            u *
              ((within[2 * n + i] as number) +
                t * ((within[3 * n + i] as number) + u * (within[4 * n + i] as number))))
    }
    this.equations.evaluate(x, y1, this.k, 6 * n, this.watts, 6 * powers)
  }

  /** Takes over the attempted step as the new origin and adds its energies to `sums`. */
  accept(h: number, sums: Float64Array): void {
    const { n, k, y0, y1, watts } = this
    for (let i = 0; i < powers; i++) {
      sums[i] =
        (sums[i] as number) +
        h *
          ((35 / 384) * (watts[i] as number) +
            (500 / 1113) * (watts[2 * powers + i] as number) +
            (125 / 192) * (watts[3 * powers + i] as number) -
            (2187 / 6784) * (watts[4 * powers + i] as number) +
            (11 / 84) * (watts[5 * powers + i] as number))
    }
    for (let i = 0; i < n; i++) {
      y0[i] = y1[i] as number
      k[i] = k[6 * n + i] as number
    }
    for (let i = 0; i < powers; i++) watts[i] = watts[6 * powers + i] as number
  }
}
