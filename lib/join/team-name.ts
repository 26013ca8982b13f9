import { nameFault, plainName } from '../core/clean-name'
import { ok, refuse, type Result } from '../core/result'

const LONGEST = 80

/** A team's name as typed, trimmed, with single spaces, in Unicode's composed form. */
export function readTeamName(typed: string): Result<string> {
  const name = plainName(typed)
  // Judged as typed, too: a line break would be gone otherwise.
  const fault =
    nameFault(typed) ??
    nameFault(name) ??
    ([...name].length > LONGEST ? `is longer than ${LONGEST} letters` : null)
  if (fault === null) return ok(name)
  if (fault === 'is blank') return refuse('Name', '', 'it is blank', 'Enter what the team is called.')
  const shown = [...name].length > 40 ? `${[...name].slice(0, 40).join('')}…` : name
  return refuse('Name', shown, `it ${fault}`, 'Type another name.')
}
