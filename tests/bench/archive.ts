/**
 * `npm run bench:archive`: a season of 20 meetings (2,667 runs of 24 cars, 60 packs, every run with its record, laps and words) out of one server and into another,
 * both real processes, by the way that the Files screen takes. Prints seconds, megabytes and the most memory that each server held, and how long an honest phone's edit
 * waited while the archive went out: it writes to another meeting every 50 ms, and each edit counts from the moment in which it is sent until the server has it on its disk. No goals.
 */
import { loadavg } from 'node:os'
import { exportDoc, parseKey, writeField } from '@/lib/board'
import type * as Y from 'yjs'
import { HonestProbe, type ProbeFigures } from '../attack/honest-probe'
import { ProtocolPhone } from '../attack/protocol-phone'
import { ArchiveBoard } from '../support/archive-board'
import { boardOnDisk } from '../support/board-on-disk'
import { Importer } from '../support/importer'
import { meetingIdOf, seasonKit, seasonMeeting, type SeasonSize } from '../support/season-docs'
import { ServerProcess } from '../support/server-process'

const SIZE: SeasonSize = { cars: 24, packs: 60, tracks: 6, meetings: 20, runs: 2667 }
const seconds = (ms: number) => `${(ms / 1000).toFixed(1)} s`
const mega = (bytes: number) => `${(bytes / 1e6).toFixed(1)} MB`

/** By the server's own edits, so that there is a history too. */
async function copy(board: ArchiveBoard, room: string, from: Y.Doc): Promise<number> {
  let values = 0
  await board.sync.editAsServer(room, (doc) => {
    for (const [collection, fields] of Object.entries(exportDoc(room === 'kit' ? 'kit' : 'meeting', from)))
      for (const [key, value] of Object.entries(fields)) {
        const at = parseKey(key)
        if (!at) continue
        writeField(doc, collection, at.recordId, at.field, value)
        values++
      }
  })
  return values
}

/** Where the phone writes: a meeting of the kit's list that holds nothing else. */
const TODAY = `meeting-${meetingIdOf(SIZE.meetings)}`
const ms = (of: ProbeFigures) =>
  `an edit took ${of.p50.toFixed(1)} ms, ${of.p99.toFixed(0)} ms in the slowest hundredth, ${of.worst.toFixed(0)} ms at most (${of.edits} edits)`

/** How long edits take while something goes on. */
async function beside<T>(
  phone: ProtocolPhone,
  work: () => Promise<T>,
): Promise<{ done: T; edits: ProbeFigures }> {
  const probe = new HonestProbe(phone)
  const done = await work()
  return { done, edits: await probe.stop() }
}
async function phoneOn(server: ServerProcess): Promise<ProtocolPhone> {
  const { cookie } = await server.join('mechanic', { name: 'Probe' })
  const phone = new ProtocolPhone(`ws://127.0.0.1:${server.port}/sync/${TODAY}`, { cookie })
  if (!(await phone.synced())) throw new Error('The phone was not let in')
  return phone
}

const made = new ArchiveBoard()
let values = await copy(made, 'kit', seasonKit({ ...SIZE, meetings: SIZE.meetings + 1 }))
for (let n = 0; n < SIZE.meetings; n++)
  values += await copy(made, `meeting-${meetingIdOf(n)}`, seasonMeeting(SIZE, n))
await made.stop()
const source = await ServerProcess.start({ screens: false, from: made.folder })
const target = await ServerProcess.start({ screens: false })
try {
  console.log(`${SIZE.meetings} meetings, ${values} values; load of the machine ${loadavg()[0]?.toFixed(1)}`)
  const from = await source.join('manager', { name: 'From' })
  const phone = await phoneOn(source)
  const quiet = await beside(phone, () => new Promise((resolve) => setTimeout(resolve, 5_000)))
  console.log(`before: ${ms(quiet.edits)}`)
  const began = performance.now()
  const { done: archive, edits } = await beside(phone, async () => {
    const res = await fetch(`${source.origin}/api/archive/team`, { headers: { cookie: from.cookie } })
    return Buffer.from(await res.arrayBuffer())
  })
  phone.close()
  console.log(
    `out: ${seconds(performance.now() - began)}, ${mega(archive.length)}; the server held ${mega(source.peakBytes())} at most; ${ms(edits)}`,
  )
  const to = await target.join('manager', { name: 'To' })
  const { sendMs, planMs, takeMs } = await new Importer(target, to.cookie, archive).import()
  console.log(
    `in: sent in ${seconds(sendMs)}, looked at in ${seconds(planMs)}, taken in in ${seconds(takeMs)}; the server held ${mega(target.peakBytes())} at most`,
  )
  const [a, b] = [boardOnDisk(source.dataFolder), boardOnDisk(target.dataFolder)]
  const apart = [...a.rooms].filter(
    ([room, text]) => room !== 'kit' && room !== TODAY && b.rooms.get(room) !== text,
  )
  console.log(`meetings that differ: ${apart.length} of ${SIZE.meetings}`)
  if (apart.length > 0) process.exitCode = 1
} finally {
  await source.dispose()
  await target.dispose()
  await made.dispose()
}
