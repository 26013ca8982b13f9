import { networkInterfaces } from 'node:os'

/** This machine's IPv4 addresses that others on the network reach, the likeliest first. */
export function lanAddresses(): string[] {
  const found = Object.entries(networkInterfaces()).flatMap(([name, list]) =>
    (list ?? []).filter((a) => a.family === 'IPv4' && !a.internal).map((a) => ({ name, address: a.address })),
  )
  // Virtual bridges and tunnels reach no phone; addresses that a router gave out come before self-assigned ones.
  const rank = ({ name, address }: { name: string; address: string }) =>
    (/^(docker|br-|veth|virbr|vmnet|vEthernet|tun|tap|utun|wg|zt)/i.test(name) ? 2 : 0) +
    (address.startsWith('169.254.') ? 1 : 0)
  return found.sort((a, b) => rank(a) - rank(b)).map((a) => a.address)
}

/** Origins under which the board is reached: phones' first, this machine's own last. */
export function originsOf(scheme: 'http' | 'https', port: number, host: string | undefined): string[] {
  const loopback = `${scheme}://localhost:${port}`
  if (host === undefined || host === '::' || host === '0.0.0.0')
    return [...lanAddresses().map((a) => `${scheme}://${a}:${port}`), loopback]
  if (host === 'localhost' || host === '127.0.0.1' || host === '::1') return [loopback]
  return [`${scheme}://${host.includes(':') ? `[${host}]` : host}:${port}`]
}
