/** `recordId:field`, the key of one field in a collection's map. */
export const formatKey = (recordId: string, field: string): string => `${recordId}:${field}`

const RECORD_ID = /^[A-Za-z0-9_-]+(\.[A-Za-z0-9_-]+)*$/
const MAX_ID = 160

/**
 * [S5] Whether a text can be a record's id: ASCII letters, digits, `_` and `-` in parts that dots join. Names that every object inherits
 * (`__proto__`, `constructor` ...) are none, whole or as a part, so that no code that ever keeps records in a plain object can be tricked.
 */
export const isRecordId = (id: string): boolean =>
  id.length <= MAX_ID && RECORD_ID.test(id) && !id.split('.').some(isInherited)
const isInherited = (name: string): boolean => name === 'prototype' || name in Object.prototype

const FIELD = /^[A-Za-z][A-Za-z0-9]{0,40}$/

/** The parts of a flat key; null when the key was not made by `formatKey`. */
export function parseKey(key: string): { recordId: string; field: string } | null {
  const colon = key.indexOf(':')
  if (colon < 0) return null
  const recordId = key.slice(0, colon)
  const field = key.slice(colon + 1)
  return isRecordId(recordId) && FIELD.test(field) ? { recordId, field } : null
}

/** Composite ids join their parts with a dot, as in `carId.pinion`. Parts themselves may not hold dots, except the last. */
export const joinId = (head: string, tail: string): string => `${head}.${tail}`
export function splitId(id: string): [head: string, tail: string] {
  const dot = id.indexOf('.')
  return dot < 0 ? [id, ''] : [id.slice(0, dot), id.slice(dot + 1)]
}
