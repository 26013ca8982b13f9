import type { core } from 'zod/mini'

const COUNTED = new Set(['array', 'set', 'map', 'string'])

/**
 * Why a value does not fit its field, as a refusal says it: "it is too high". The field's own checks give their own words ("is blank"); the small build of
 * zod gives none for the rest, and those of its dictionary speak of types.
 */
export function misfitWords(issue: core.$ZodIssue | undefined): string {
  switch (issue?.code) {
    case 'custom':
      return `it ${issue.message}`
    case 'too_big':
      return COUNTED.has(issue.origin) ? 'it is too long' : 'it is too high'
    case 'too_small':
      return COUNTED.has(issue.origin) ? 'it is too short' : 'it is too low'
    case 'invalid_value':
      return 'it is none of the choices'
    case 'invalid_type':
      if (issue.expected === 'int') return 'it is not a whole number'
      return issue.expected === 'number' ? 'it is not a number' : 'it does not fit'
    default:
      return 'it does not fit'
  }
}
