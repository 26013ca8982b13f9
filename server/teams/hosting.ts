import { isIP } from 'node:net'
import { readTeamAddress } from '@/lib/join/team-address'

/** Where many teams are served. */
export interface Hosting {
  /** The host name of the hosting page, lower-case; each team's address is a name below it. */
  base: string
  /** Scheme and port by which browsers reach it, such as `https:` and `8443`, where something in front speaks for it; null: as it listens. */
  outside: { scheme: 'http' | 'https'; port: string } | null
}

export type Place = { kind: 'hosting' } | { kind: 'team'; address: string }

const SETTING = /^(?:(https?):\/\/)?([a-z0-9](?:[a-z0-9.-]*[a-z0-9])?)(?::(\d{1,5}))?$/i
const LONGEST_NAME = 253
const LONGEST_TEAM = 31

/** The setting's text; null when it is none. */
export function readHosting(text: string): Hosting | null {
  const [, scheme, base, port] = SETTING.exec(text) ?? []
  if (base === undefined || isIP(base) || base.includes('..')) return null
  if (base.length + LONGEST_TEAM > LONGEST_NAME || Number(port ?? 0) > 65535) return null
  // A port alone says nothing of how it is reached.
  if (scheme === undefined && port !== undefined) return null
  const outside = scheme && { scheme: scheme.toLowerCase() === 'https' ? 'https' : 'http', port: port ?? '' }
  return { base: base.toLowerCase(), outside: (outside as Hosting['outside'] | undefined) || null }
}

/** What a Host header leads to; null for every name that is not one of these. */
export function placeOf(hostHeader: string | undefined, base: string): Place | null {
  const name = /^([a-z0-9.-]+)(?::\d{1,5})?$/i.exec(hostHeader ?? '')?.[1]?.toLowerCase()
  if (name === undefined) return null
  if (name === base) return { kind: 'hosting' }
  if (!name.endsWith(`.${base}`)) return null
  const address = readTeamAddress(name.slice(0, -base.length - 1))
  return address.ok ? { kind: 'team', address: address.value } : null
}

/** The origin of a team's address, or of the hosting page for null. */
export function originOf(
  { base, outside }: Hosting,
  address: string | null,
  here: { secure: boolean; port: number },
): string {
  const scheme = outside?.scheme ?? (here.secure ? 'https' : 'http')
  const port = outside ? outside.port : String(here.port)
  return new URL(`${scheme}://${address === null ? '' : `${address}.`}${base}${port && `:${port}`}`).origin
}
