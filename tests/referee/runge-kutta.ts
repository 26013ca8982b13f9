/**
 * The classic Runge-Kutta scheme of order 4 for a fixed number of slots. `rates` is called at the step's origin first.
 * Source: Hairer, Nørsett, Wanner, Solving ODEs I, table II.1.2, from memory.
 */
export class RungeKutta {
  private readonly k: readonly [Float64Array, Float64Array, Float64Array, Float64Array]
  private readonly z: Float64Array

  constructor(
    private readonly slots: number,
    private readonly rates: (y: Float64Array, out: Float64Array) => void,
  ) {
    const column = () => new Float64Array(slots)
    this.k = [column(), column(), column(), column()]
    this.z = column()
  }

  /** Rates at `y`, for the step that follows. */
  begin(y: Float64Array): void {
    this.rates(y, this.k[0])
  }

  /** Moves `y` on by h; `begin` comes before. */
  step(y: Float64Array, h: number): void {
    const { slots, z } = this
    const [k1, k2, k3, k4] = this.k
    for (let i = 0; i < slots; i++) z[i] = (y[i] as number) + (h / 2) * (k1[i] as number)
    this.rates(z, k2)
    for (let i = 0; i < slots; i++) z[i] = (y[i] as number) + (h / 2) * (k2[i] as number)
    this.rates(z, k3)
    for (let i = 0; i < slots; i++) z[i] = (y[i] as number) + h * (k3[i] as number)
    this.rates(z, k4)
    for (let i = 0; i < slots; i++)
      y[i] =
        (y[i] as number) +
        (h / 6) * ((k1[i] as number) + 2 * (k2[i] as number) + 2 * (k3[i] as number) + (k4[i] as number))
  }
}
