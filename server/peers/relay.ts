import type { IncomingHttpHeaders, IncomingMessage, ServerResponse } from 'node:http'
import { request as httpsRequest, type RequestOptions } from 'node:https'
import type { Socket } from 'node:net'
import type { Duplex } from 'node:stream'
import { answerTrouble } from '../http/answer-trouble'
import { CLOSE } from '@/lib/sync/close-codes'
import type { UpgradeHandler } from '../http/upgrade-listener'
import { addressOf, isSecure } from '../http/spoken-for'
import { closeFrame, FrameEdges } from './frame-edges'
import { ADDRESS_HEADER, calling, NO_BOARD_HEADER, SECURE_HEADER, type PeerAddress } from './peer-line'

/** `again`: nobody has heard of it there, so that it may be asked elsewhere. `done`: it was answered, or whoever asked is gone. */
export type Passed = 'done' | 'again'

/** A phone that was told to come again has so long to hear it. */
const GOODBYE_MS = 1_000

/** Of one connection alone (RFC 9110, section 7.6.1). */
const HOP_BY_HOP = [
  'connection',
  'keep-alive',
  'proxy-connection',
  'te',
  'trailer',
  'transfer-encoding',
  'upgrade',
]

/** Passes requests and sockets on to the process that serves the board, as they are, and its answers back. */
export class Relay {
  readonly #open = new Set<() => void>()
  /** Of phones' sockets: say that they are to come again. */
  readonly #goodbyes = new Set<() => void>()
  #isLeaving = false

  /** `secure`: whether clients come to this process over TLS. */
  constructor(
    readonly key: Buffer,
    readonly secure: boolean,
  ) {}

  /** Lines that are open. */
  get lines(): number {
    return this.#open.size
  }

  /** End every line: the process at its other end serves the board no more. Phones are told to come again. */
  cut(): void {
    for (const goodbye of [...this.#goodbyes]) goodbye()
    for (const end of [...this.#open]) end()
  }

  /** [P3] This process stops: every phone is told to come again, and no other is passed on; requests under way may end. */
  leave(): void {
    this.#isLeaving = true
    for (const goodbye of [...this.#goodbyes]) goodbye()
  }

  request(to: PeerAddress, req: IncomingMessage, res: ServerResponse): Promise<Passed> {
    return new Promise((resolve) => {
      const up = httpsRequest(this.#options(to, req, withoutHop(req.headers)))
      let isHeard = false
      const end = () => up.destroy()
      const over = (passed: Passed) => {
        this.#open.delete(end)
        res.removeListener('close', end)
        resolve(passed)
      }
      this.#open.add(end)
      res.once('close', end)
      up.once('socket', (socket) =>
        // The body goes when there is somebody to take it: before that all of it can still be asked elsewhere.
        socket.once('secureConnect', () => {
          isHeard = true
          if (hasBody(req)) req.pipe(up)
          else up.end()
        }),
      )
      up.once('response', (answer) => {
        if (answer.headers[NO_BOARD_HEADER] !== undefined) {
          answer.resume()
          // What was read of a body is gone.
          if (hasBody(req)) refuse(res)
          return over(hasBody(req) ? 'done' : 'again')
        }
        res.writeHead(answer.statusCode ?? 502, withoutHop(answer.headers))
        answer.pipe(res)
        // Half an answer must not look whole.
        answer.once('error', () => res.destroy())
        res.once('close', () => over('done'))
      })
      up.once('error', () => {
        if (res.headersSent) res.destroy()
        else if (isHeard && hasBody(req)) refuse(res)
        else if (!res.destroyed) return over('again')
        over('done')
      })
    })
  }

  upgrade(to: PeerAddress, ...[req, socket, head]: Parameters<UpgradeHandler>): Promise<Passed> {
    return new Promise((resolve) => {
      const headers = { ...withoutHop(req.headers), connection: 'Upgrade', upgrade: 'websocket' }
      const up = httpsRequest(this.#options(to, req, headers))
      const end = () => up.destroy()
      this.#open.add(end)
      socket.once('close', end)
      const over = (passed: Passed) => {
        this.#open.delete(end)
        socket.removeListener('close', end)
        resolve(passed)
      }
      up.once('upgrade', (answer: IncomingMessage, line: Socket, first: Buffer) => {
        over('done')
        if (this.#isLeaving) {
          socket.destroy()
          return void line.destroy()
        }
        socket.write(headOf(answer))
        if (first.length > 0) socket.write(first)
        if (head.length > 0) line.write(head)
        this.#join(socket, line)
      })
      up.once('response', (answer) => {
        answer.resume()
        if (answer.headers[NO_BOARD_HEADER] !== undefined) return over('again')
        socket.end(headOf(answer))
        over('done')
      })
      up.once('error', () => over(socket.destroyed ? 'done' : 'again'))
      up.end()
    })
  }

  #join(socket: Duplex, line: Socket): void {
    const edges = new FrameEdges()
    const over = () => {
      this.#open.delete(end)
      this.#goodbyes.delete(goodbye)
    }
    const end = () => {
      over()
      socket.destroy()
      line.destroy()
    }
    // In the middle of a frame there is no place for another: that line just ends.
    const goodbye = () => {
      if (!edges.isBetween) return end()
      over()
      for (const side of [socket, line]) side.removeListener('close', end)
      line.unpipe(socket).destroy()
      socket.unpipe(line).resume()
      socket.end(closeFrame(CLOSE.shutdown))
      setTimeout(() => socket.destroy(), GOODBYE_MS).unref()
    }
    this.#open.add(end)
    this.#goodbyes.add(goodbye)
    line.setNoDelay(true)
    line.on('data', edges.pass)
    for (const side of [socket, line]) side.once('close', end).on('error', end)
    // Each waits for the other: what a slow phone does not take waits at the board, which knows what to do about it [S10].
    line.pipe(socket)
    socket.pipe(line)
  }

  #options({ host, port }: PeerAddress, req: IncomingMessage, headers: IncomingHttpHeaders): RequestOptions {
    return {
      ...calling(this.key),
      host,
      port,
      agent: false,
      method: req.method,
      path: req.url,
      headers: {
        ...headers,
        [ADDRESS_HEADER]: addressOf(req),
        [SECURE_HEADER]: isSecure(req, this.secure) ? '1' : '0',
      },
    }
  }
}

const hasBody = ({ method }: IncomingMessage) => method !== 'GET' && method !== 'HEAD'

const withoutHop = (headers: IncomingHttpHeaders): IncomingHttpHeaders =>
  Object.fromEntries(Object.entries(headers).filter(([name]) => !HOP_BY_HOP.includes(name)))

function headOf({ statusCode, statusMessage, rawHeaders }: IncomingMessage): string {
  let head = `HTTP/1.1 ${statusCode ?? 502} ${statusMessage ?? ''}\r\n`
  for (let i = 0; i < rawHeaders.length; i += 2) head += `${rawHeaders[i]}: ${rawHeaders[i + 1]}\r\n`
  return head + '\r\n'
}

/** The process that was asked went away: nobody can say whether it has done it. */
function refuse(res: ServerResponse): void {
  answerTrouble(
    res,
    'the computer that ran the board went away meanwhile',
    'Look whether it was done; if not, try again.',
  )
}
