import type { core } from 'zod/mini'

const COUNTED = new Set(['array', 'set', 'map', 'string'])

/**
 * Why a value does not fit its field, as a refusal says it: "is out of range", as forms say it too. The field's own checks give their own words ("is blank"); the small build of
 * zod gives none for the rest, and those of its dictionary speak of types.
 */
export function misfitWords(issue: core.$ZodIssue | undefined): string {
  switch (issue?.code) {
    case 'custom':
      return issue.message
    case 'too_big':
      return COUNTED.has(issue.origin) ? 'is too long' : 'is out of range'
    case 'too_small':
      return COUNTED.has(issue.origin) ? 'is too short' : 'is out of range'
    case 'invalid_value':
      return 'is none of the choices'
    case 'invalid_type':
      if (issue.expected === 'int') return 'is not a whole number'
      return issue.expected === 'number' ? 'is not a number' : 'does not fit'
    default:
      return 'does not fit'
  }
}
