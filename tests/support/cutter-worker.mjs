// A relay between a board and PostgreSQL, in a thread of its own (the board waits for its answers), that loses what a test wants lost.
import { rmSync } from 'node:fs'
import { createConnection, createServer } from 'node:net'
import { parentPort, workerData } from 'node:worker_threads'

const { listenOn, forwardTo, state } = workerData
/** What it does: see `Cut` in postgres-cutter.ts. */
const [PASS, BEFORE_COMMIT, , AWAY, BREAKDOWN, GARBAGE, SLOW] = [0, 1, 2, 3, 4, 5, 6]
/** How long each answer takes on a slow line, ms. */
const SLOW_MS = 100
/** ErrorResponse: https://www.postgresql.org/docs/15/protocol-message-formats.html */
const fields = Buffer.from('SPANIC\0VPANIC\0CXX000\0Mplayed by a test\0\0')
/** A row of 1000 values that ends after their number. */
const SENSELESS = Buffer.from([0x44, 0, 0, 0, 6, 3, 232])
const PANIC = Buffer.concat([Buffer.from('E'), Buffer.from([0, 0, 0, fields.length + 4]), fields])
const mode = () => Atomics.load(state, 0)

const server = createServer((board) => {
  if (mode() === AWAY) return board.destroy()
  const engine = createConnection(forwardTo)
  const cut = () => {
    board.destroy()
    engine.destroy()
  }
  let isDeaf = false
  board.on('error', cut)
  engine.on('error', cut)
  board.on('close', () => engine.end())
  engine.on('close', () => board.end())
  board.on('data', (bytes) => {
    if (mode() === AWAY) return cut()
    const isCommit = mode() !== PASS && mode() !== SLOW && bytes.includes('COMMIT')
    if (isCommit && mode() === BEFORE_COMMIT) {
      Atomics.store(state, 0, Atomics.load(state, 1))
      return cut()
    }
    isDeaf ||= isCommit
    engine.write(bytes)
  })
  engine.on('data', (bytes) => {
    if (!isDeaf && mode() === SLOW) return void setTimeout(() => board.write(bytes), SLOW_MS)
    if (!isDeaf) return board.write(bytes)
    // It has taken place, and nobody is told.
    const lastWord = { [BREAKDOWN]: PANIC, [GARBAGE]: SENSELESS }[mode()]
    Atomics.store(state, 0, Atomics.load(state, 1))
    if (lastWord) {
      engine.destroy()
      return board.end(lastWord)
    }
    cut()
  })
})
server.listen(listenOn, () => parentPort.postMessage('listening'))
parentPort.on('message', () => {
  server.close()
  rmSync(listenOn, { force: true })
  parentPort.close()
  process.exit()
})
