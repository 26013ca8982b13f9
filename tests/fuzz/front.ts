import { get } from 'node:http'
import { connect, createServer, type AddressInfo, type Server, type Socket } from 'node:net'

const CHECK_MS = 200
const ANSWER_MS = 500

/**
 * One address before several processes, as an operator's balancer is: it asks each whether it lives, sends nobody to one that does not answer,
 * and ends the lines to it.
 */
export class Front {
  readonly #server: Server
  readonly #down = new Set<number>()
  readonly #lines = new Map<number, Set<Socket>>()
  readonly #timer: NodeJS.Timeout
  #next = 0

  private constructor(
    readonly ports: readonly number[],
    readonly answerMs: number,
  ) {
    this.#server = createServer((phone) => {
      phone.on('error', () => phone.destroy())
      this.#seat(phone, ports.length)
    })
    this.#timer = setInterval(() => {
      for (const port of ports) this.#check(port)
    }, CHECK_MS)
  }

  /** `answerMs`: a process that lets it wait for longer counts as gone. */
  static async start(ports: readonly number[], answerMs = ANSWER_MS): Promise<Front> {
    const front = new Front(ports, answerMs)
    await new Promise<void>((resolve) => front.#server.listen(0, '127.0.0.1', resolve))
    return front
  }

  get port(): number {
    return (this.#server.address() as AddressInfo).port
  }

  close(): void {
    clearInterval(this.#timer)
    this.#server.close()
    for (const lines of this.#lines.values()) for (const line of lines) line.destroy()
  }

  #seat(phone: Socket, tries: number): void {
    const up = this.ports.filter((port) => !this.#down.has(port))
    const port = up[this.#next++ % Math.max(1, up.length)]
    if (port === undefined || tries === 0) return void phone.destroy()
    const line = connect({ host: '127.0.0.1', port })
    const lines = this.#lines.get(port) ?? new Set()
    this.#lines.set(port, lines)
    let isThrough = false
    line.once('connect', () => {
      isThrough = true
      lines.add(line)
      for (const side of [phone, line]) side.setNoDelay(true)
      phone.pipe(line)
      line.pipe(phone)
      phone.once('close', () => line.destroy())
    })
    line.on('error', () => undefined)
    line.once('close', () => {
      lines.delete(line)
      if (isThrough || phone.destroyed) return void phone.destroy()
      this.#down.add(port)
      this.#seat(phone, tries - 1)
    })
  }

  #check(port: number): void {
    const req = get(
      { host: '127.0.0.1', port, path: '/healthz/live', timeout: this.answerMs, agent: false },
      (res) => {
        res.resume()
        this.#down.delete(port)
      },
    )
    const fail = () => {
      req.destroy()
      this.#down.add(port)
      for (const line of this.#lines.get(port) ?? []) line.destroy()
    }
    req.once('timeout', fail)
    req.on('error', fail)
  }
}
