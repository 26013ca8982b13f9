import { Writable } from 'node:stream'
import { parentPort, workerData } from 'node:worker_threads'
import { archiveHere, type ArchiveOrder } from './archive-out'

// The thread of `archiveInThread`. It says: a piece of the archive, for each of them, and null after the last. It hears when a piece was taken.
if (!parentPort) throw new Error('This is run as a thread')
const port = parentPort
const { source, scope, at } = workerData as ArchiveOrder
let taken: () => void = () => undefined
port.on('message', () => taken())
const out = new Writable({
  write(chunk: Buffer, _encoding, done) {
    taken = done
    // Not the chunk’s own memory, of which others may have a part.
    const bytes = new Uint8Array(chunk)
    port.postMessage(bytes, [bytes.buffer])
  },
})
await archiveHere(source)(scope, at, out)
port.postMessage(null)
port.close()
