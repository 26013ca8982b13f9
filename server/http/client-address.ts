import { isIPv6 } from 'node:net'

/**
 * What a client is told apart by. Forwarding headers are not looked at: anybody could write them. An IPv6 client owns its whole /64, so
 * that is what counts.
 */
export function clientAddress(remoteAddress: string | undefined): string {
  const address = (remoteAddress ?? 'unknown').replace(/^::ffff:(?=\d+\.)/, '').replace(/%.*$/, '')
  return isIPv6(address) ? `${expand(address).slice(0, 4).join(':')}::/64` : address
}

function expand(address: string): string[] {
  const [head = '', tail] = address.split('::')
  const left = head === '' ? [] : head.split(':')
  const right = tail === undefined || tail === '' ? [] : tail.split(':')
  const zeros = tail === undefined ? 0 : Math.max(0, 8 - left.length - right.length)
  return [...left, ...Array<string>(zeros).fill('0'), ...right].map((g) => g.replace(/^0+(?=.)/, ''))
}
