import type { IncomingMessage } from 'node:http'
import { clientAddress } from './client-address'

/** Who stands behind a request that another process of the board passed on. */
export interface SpokenFor {
  /** As that process saw it. */
  address: string
  /** It came there over TLS. */
  secure: boolean
}

const passedOn = new WeakMap<IncomingMessage, SpokenFor>()

/** Only what came over the line between processes may be told so: headers could be written by anybody. */
export const speakFor = (req: IncomingMessage, whom: SpokenFor): void => void passedOn.set(req, whom)

/** What the client is told apart by. */
export const addressOf = (req: IncomingMessage): string =>
  passedOn.get(req)?.address ?? clientAddress(req.socket.remoteAddress)

/** Whether the client's own line is TLS. `here`: whether this process serves over TLS. */
export const isSecure = (req: IncomingMessage, here: boolean): boolean => passedOn.get(req)?.secure ?? here
