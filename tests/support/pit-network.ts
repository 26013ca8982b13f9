import { createServer, connect, type AddressInfo, type Socket } from 'node:net'
import type { ServerProcess } from './server-process'

/** How the network behaves that a phone is in. */
export type NetworkMood =
  | 'through'
  /** Everything stays open and nothing comes any more: what a phone finds whose line died while it slept. */
  | 'silent'
  /** Every page, whatever its address, is the network's own page to sign in. */
  | 'sign-in'
  /** The same, sent elsewhere first. */
  | 'sign-in-elsewhere'

const SIGN_IN = '/network-sign-in'
const PAGE = '<!doctype html><title>Network</title><h1>Sign in to this network</h1>'
export const SIGN_IN_WORDS = 'Sign in to this network'

const answer = (status: string, headers: string, body = '') =>
  `HTTP/1.1 ${status}\r\n${headers}Content-Length: ${Buffer.byteLength(body)}\r\nConnection: close\r\n\r\n${body}`
const signInPage = () => answer('200 OK', 'Content-Type: text/html\r\n', PAGE)

/** A network between phones and a running server, on a port of its own of the loopback interface; its pages work under its own address. */
export class PitNetwork {
  #mood: NetworkMood = 'through'
  readonly #open = new Set<Socket>()
  readonly #server
  #serverPort: number

  private constructor(serverPort: number) {
    this.#serverPort = serverPort
    this.#server = createServer((phone) => this.#meet(phone))
  }

  static async beside(server: ServerProcess): Promise<PitNetwork> {
    const network = new PitNetwork(server.port)
    await new Promise<void>((resolve) => network.#server.listen(0, '127.0.0.1', resolve))
    return network
  }

  get origin(): string {
    return `http://localhost:${(this.#server.address() as AddressInfo).port}`
  }

  /** What is open goes on in silence, or breaks where the network answers for itself. */
  turn(mood: NetworkMood): void {
    this.#mood = mood
    for (const socket of this.#open)
      if (mood === 'silent') socket.pause()
      else socket.destroy()
  }

  async close(): Promise<void> {
    for (const socket of this.#open) socket.destroy()
    await new Promise<void>((resolve) => this.#server.close(() => resolve()))
  }

  #hold(socket: Socket) {
    this.#open.add(socket)
    socket.on('error', () => socket.destroy())
    socket.on('close', () => this.#open.delete(socket))
  }

  #meet(phone: Socket) {
    this.#hold(phone)
    switch (this.#mood) {
      case 'silent':
        return void phone.pause()
      case 'sign-in':
      case 'sign-in-elsewhere':
        return void phone.once('data', (asked) => phone.end(this.#signIn(asked.toString('latin1'))))
      case 'through': {
        const server = connect(this.#serverPort, '127.0.0.1')
        this.#hold(server)
        phone.on('close', () => server.destroy())
        server.on('close', () => phone.destroy())
        phone.pipe(server).pipe(phone)
      }
    }
  }

  #signIn(asked: string): string {
    const path = asked.split(' ')[1] ?? '/'
    if (this.#mood === 'sign-in' || path.startsWith(SIGN_IN)) return signInPage()
    return answer('302 Found', `Location: ${SIGN_IN}\r\n`)
  }
}
