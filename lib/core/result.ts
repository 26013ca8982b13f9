/** The outcome of something that can be refused. A refusal is a value, never an exception. */
export type Result<T, E = Refusal> = { ok: true; value: T } | { ok: false; error: E }

/** Why something was refused, in the form every screen can show: what, which value, and what to do about it. */
export interface Refusal {
  /** The field or thing at fault, in the user's words. */
  field: string
  /** The value that was offered, as text; empty when there was none. */
  value: string
  /** What is wrong with it. */
  reason: string
  /** What would be accepted, or what to do next. */
  remedy: string
}

export const ok = <T>(value: T): { ok: true; value: T } => ({ ok: true, value })
export const refuse = (
  field: string,
  value: unknown,
  reason: string,
  remedy: string,
): { ok: false; error: Refusal } => ({
  ok: false,
  error: { field, value: value === undefined || value === null ? '' : String(value), reason, remedy },
})

/** One sentence for logs and plain-text places. */
export const refusalText = (r: Refusal): string =>
  `${r.field}${r.value === '' ? '' : ` “${r.value}”`}: ${r.reason}. ${r.remedy}`
