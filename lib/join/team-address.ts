import { ok, refuse, type Result } from '../core/result'

const SHORTEST = 3
const LONGEST = 30
const SHAPE = /^[a-z0-9](?:[a-z0-9-]*[a-z0-9])?$/
/** Names that hosts use for machines of their own, or that people would take for the host's. */
const RESERVED: readonly string[] = [
  'admin',
  'api',
  'autoconfig',
  'autodiscover',
  'host',
  'hosting',
  'localhost',
  'mail',
  'metrics',
  'root',
  'smtp',
  'stagecall',
  'status',
  'support',
  'team',
  'teams',
  'www',
]

/** What somebody typed, as a team's address: the first part of the host name under which its board is opened. */
export function readTeamAddress(typed: string): Result<string> {
  const address = typed.trim().toLowerCase()
  const no = (reason: string, remedy: string) => refuse('Address', address, reason, remedy)
  if (address.length < SHORTEST || address.length > LONGEST)
    return no(
      `it must have ${SHORTEST} to ${LONGEST} characters, and has ${address.length}`,
      'Choose another one.',
    )
  if (!SHAPE.test(address))
    return no(
      'it may hold the letters a to z, digits and hyphens, and a hyphen may not stand first or last',
      'Write it without spaces, dots and accents.',
    )
  // Names that begin so are letters of other scripts, which look like other names.
  if (address.startsWith('xn--')) return no('it can’t begin with xn--', 'Choose another one.')
  return RESERVED.includes(address) ? no('it is kept for the host', 'Choose another one.') : ok(address)
}
