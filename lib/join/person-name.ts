import { ok, refuse, type Result } from '../core/result'

export const NAME_MAX = 40

/** Control characters, line breaks, and the marks that turn the direction of the text after them. */
const UNPRINTABLE = /[\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]/

/** A person's name as typed, trimmed, with single spaces, in Unicode's composed form. */
export function readPersonName(typed: string): Result<string> {
  if (UNPRINTABLE.test(typed))
    return refuse('Name', '', 'it holds characters that can’t be printed', 'Type the name anew.')
  const name = typed.normalize('NFC').trim().replace(/\s+/g, ' ')
  if (name === '') return refuse('Name', typed, 'it is blank', 'Type the name that the crew knows you by.')
  if (name.length > NAME_MAX)
    return refuse(
      'Name',
      name.slice(0, NAME_MAX) + '…',
      `it is longer than ${NAME_MAX} characters`,
      'Shorten it.',
    )
  return ok(name)
}

/** Whether two names would be taken for the same by people reading them. */
export const sameName = (a: string, b: string): boolean =>
  a.localeCompare(b, undefined, { sensitivity: 'base' }) === 0
