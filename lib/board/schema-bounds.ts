/** The part of a schema that says what it checks. */
interface Checked {
  def: {
    /** Of a stamped value: `v`, or null. */
    shape?: { v?: { def: { innerType?: unknown } } }
    entries?: Readonly<Record<string, string>>
    format?: string
    checks?: readonly { _zod: { def: { check: string; value?: unknown; maximum?: unknown } } }[]
  }
}

export interface SchemaBounds {
  min?: number
  max?: number
  isWhole: boolean
  maxLength?: number
  options: readonly string[]
}

/** What a schema of a field allows, read from its checks; of a stamped one what its value may be. */
export function schemaBounds(schema: unknown): SchemaBounds {
  const stamped = (schema as Checked).def.shape?.v?.def.innerType
  const { entries, format, checks = [] } = ((stamped ?? schema) as Checked).def
  const bounds: SchemaBounds = { isWhole: format === 'safeint', options: Object.values(entries ?? {}) }
  for (const { _zod } of checks) {
    const { check, value, maximum } = _zod.def
    if (check === 'greater_than' && typeof value === 'number') bounds.min = value
    if (check === 'less_than' && typeof value === 'number') bounds.max = value
    if (check === 'max_length' && typeof maximum === 'number') bounds.maxLength = maximum
  }
  return bounds
}
