import { isIP } from 'node:net'
import { hostname } from 'node:os'

/**
 * Whether a Host header names this machine. IP addresses always do. Names do only when they are this machine's own or were allowed in the
 * settings: a foreign name that resolves to our address is how a web page on the internet would reach into the pit's network (DNS rebinding).
 */
export function isOwnHost(hostHeader: string | undefined, allowed: readonly string[]): hostHeader is string {
  if (hostHeader === undefined) return false
  const match = /^(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(?::\d{1,5})?$/i.exec(hostHeader)
  const name = match?.[1]?.toLowerCase()
  if (name === undefined) return false
  const bare = name.replace(/^\[|\]$/g, '')
  if (isIP(bare)) return true
  const own = hostname().toLowerCase()
  return (
    bare === 'localhost' ||
    bare.endsWith('.localhost') ||
    bare === own ||
    bare === own.split('.')[0] ||
    // In multicast DNS; any other `.local` name is somebody else's, and anybody on the network can have one.
    bare === `${own.split('.')[0]}.local` ||
    allowed.includes(bare)
  )
}
