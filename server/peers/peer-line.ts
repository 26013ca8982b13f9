import { hkdfSync } from 'node:crypto'
import { connect } from 'node:net'
import type { ConnectionOptions, TlsOptions } from 'node:tls'

/** Where a process of the board is reached by the others. */
export interface PeerAddress {
  host: string
  port: number
}

/**
 * The line between two processes of one board: TLS by a shared key alone (RFC 4279, RFC 7905). Both sides prove that they hold it, a recorded
 * request can't be sent again, and what was recorded can't be read later by whoever gets the key.
 */
const LINE = {
  ciphers: 'ECDHE-PSK-CHACHA20-POLY1305',
  minVersion: 'TLSv1.2',
  maxVersion: 'TLSv1.2',
} as const
const WHO = 'stagecall'

export const peerKey = (secret: string): Buffer =>
  Buffer.from(hkdfSync('sha256', secret, '', 'stagecall processes, 1', 32))

export const answering = (key: Buffer): TlsOptions => ({
  ...LINE,
  pskCallback: (_socket, identity) => (identity === WHO ? key : null),
})

export const calling = (key: Buffer): ConnectionOptions => ({
  ...LINE,
  pskCallback: () => ({ psk: key, identity: WHO }),
  // There is no certificate: whoever answers holds the key.
  checkServerIdentity: () => undefined,
})

/** `host:port`, IPv6 in brackets; null for anything else. */
export function readPeerAddress(text: string): PeerAddress | null {
  const match = /^(?:\[([0-9a-f:.]+)\]|([a-z0-9.-]+)):(\d{1,5})$/i.exec(text)
  const host = match?.[1] ?? match?.[2]
  const port = Number(match?.[3])
  return host === undefined || port < 1 || port > 65535 ? null : { host, port }
}

/** Whether that machine says that nobody listens there: a process that was killed no longer does, one that is paused still does. */
export const isRefused = ({ host, port }: PeerAddress): Promise<boolean> =>
  new Promise((resolve) => {
    const line = connect({ host, port, timeout: REFUSAL_MS })
    const end = (is: boolean) => {
      line.destroy()
      resolve(is)
    }
    line.once('connect', () => end(false)).once('timeout', () => end(false))
    line.once('error', (e) => end('code' in e && e.code === 'ECONNREFUSED'))
  })
const REFUSAL_MS = 300

/** What the process at the other end of the line is told of whom it answers. */
export const ADDRESS_HEADER = 'x-stagecall-address'
export const SECURE_HEADER = 'x-stagecall-secure'
/** On an answer: that process does not serve the board, and has passed nothing on. */
export const NO_BOARD_HEADER = 'x-stagecall-no-board'
