import * as Y from 'yjs'
import { editHeat, seedBoard } from './bench-board'
import { show, table } from './figures'

const HEATS = 600
const EDITS = 50_000

/**
 * How a document grows over a season of edits: against a fresh copy that holds the same board without its past. Every page load brings a
 * clientID of its own, so they are counted as well.
 */
export function printGrowth(): void {
  const rows = [1, 100, 2_000].map((clients) => {
    let state = new Y.Doc()
    seedBoard(state, HEATS)
    const server = new Y.Doc()
    Y.applyUpdate(server, Y.encodeStateAsUpdate(state))
    for (let page = 0; page < clients; page++) {
      state = new Y.Doc()
      Y.applyUpdate(state, Y.encodeStateAsUpdate(server))
      const since = Y.encodeStateVector(server)
      for (let n = 0; n < EDITS / clients / 2; n++)
        editHeat(state, (page * 7 + n) % HEATS, `run ${n} of page ${page}`, n)
      Y.applyUpdate(server, Y.encodeStateAsUpdate(state, since))
    }
    const fresh = new Y.Doc()
    fresh.transact(() => {
      for (const name of ['heats', 'entries'])
        for (const [k, v] of server.getMap(name).entries()) fresh.getMap(name).set(k, v)
    })
    const kib = (bytes: Uint8Array) => bytes.length / 1024
    const [v1, v2, clean] = [
      Y.encodeStateAsUpdate(server),
      Y.encodeStateAsUpdateV2(server),
      Y.encodeStateAsUpdateV2(fresh),
    ]
    const start = performance.now()
    Y.applyUpdateV2(new Y.Doc(), v2)
    const loadMs = performance.now() - start
    return [
      String(clients),
      show(kib(v1), 0),
      show(kib(v2), 0),
      show(kib(clean), 0),
      `${show(v2.length / clean.length)}x`,
      show(kib(Y.encodeStateVector(server)), 1),
      show(loadMs, 1),
    ]
  })
  console.log(`\nDocument growth: ${HEATS} heats, ${EDITS} field edits in a season\n`)
  console.log(
    table(
      [
        'clientIDs',
        'sent, KiB',
        'snapshot, KiB',
        'fresh copy, KiB',
        'growth',
        'state vector, KiB',
        'load, ms',
      ],
      rows,
    ),
  )
}
