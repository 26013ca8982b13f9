/**
 * Thrown when an input is nonsense (zero teeth, 300% state of charge): it names the field, the value and what is allowed.
 * The room's two ways of not answering: bad input throws this; a fair question without an answer returns `Absent`.
 */
export class RangeProblem extends RangeError {
  override readonly name = 'RangeProblem'
  constructor(
    /** The field at fault, with its path: `pack.cells`. */
    readonly field: string,
    /** The value that was offered. */
    readonly value: unknown,
    /** What is allowed, in words: `1 to 1000`. */
    readonly range: string,
  ) {
    super(`${field} is ${describe(value)}; must be ${range}`)
  }
}

function describe(value: unknown): string {
  if (value === undefined) return 'missing'
  if (typeof value === 'string') return `“${value.slice(0, 40)}”`
  if (typeof value === 'number' || typeof value === 'boolean' || value === null) return String(value)
  return Array.isArray(value) ? 'a list' : typeof value
}
