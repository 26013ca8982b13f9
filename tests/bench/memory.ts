/**
 * `npm run bench:memory`: whether a phone's page keeps what edits leave behind.
 *
 * The demo's meeting with 600 heats and 24 cars is open on the running order of a phone. Another device makes 2,000 edits in which the page settles (one
 * that nobody edits grows meanwhile, too: by 1.3 MiB in 105 s), and 2,000 more: another pack for a run, another pinion, by turns. Before and while these
 * are made the page's heap is taken, its garbage collected first. Goal: the last is at most a twentieth above the first. Printed beside it is what an edit
 * leaves in the page, and in the document alone: its history, which no page can do without.
 *
 * Options: --edits 2000 (after as many)
 */
import { setTimeout as sleep } from 'node:timers/promises'
import { parseArgs } from 'node:util'
import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'
import * as Y from 'yjs'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, isWhole, phone, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'
import { longDay } from './long-day'

const { values: o } = parseArgs({ options: { edits: { type: 'string', default: '2000' } } })
const EDITS = Number(o.edits)
const HEATS = 600
const EVERY = 500
/** Each is a write of its own, and seen by the page as such. ms */
const PAUSE_MS = 25
const GOAL = 1.05
const MIB = 2 ** 20

/** What a document holds more for each update after it took them all, bytes of Node's heap. */
function documentAlone(before: Uint8Array, updates: readonly Uint8Array[]): number {
  setFlagsFromString('--expose-gc')
  const collect = runInNewContext('gc') as () => void
  const used = () => {
    collect()
    collect()
    return process.memoryUsage().heapUsed
  }
  const doc = new Y.Doc()
  Y.applyUpdate(doc, before)
  const start = used()
  for (const update of updates) Y.applyUpdate(doc, update)
  const bytes = (used() - start) / updates.length
  doc.destroy()
  return bytes
}

const server = await ServerProcess.start({ demo: true })
try {
  const { docs, reading, write, close } = await longDay(server, HEATS)
  const pocket = await phone()
  await signIn(pocket, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
  const page = await pocket.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/order`)
  await page.waitForSelector('.run-row')
  await isWhole(page)
  const runId = await page.locator('.run-row:has(.run-call)').last().getAttribute('data-run')
  const carId = reading.view().entries.get(runId)?.carId
  const packs = reading.view().packs.live
  if (!runId || !carId || packs.length < 2) throw new Error('No run is to come, or the kit has no two packs')
  const button = page.locator(`.run-row[data-run="${runId}"] .run-thing`).first()
  const packOf = (n: number) => packs[Math.floor(n / 2) % packs.length]

  const edit = (n: number) =>
    write('memory', (w) => {
      if (n % 2 === 0) w.meeting('runs', runId, { packId: w.stamp(packOf(n)?.id ?? '') })
      else w.meeting('cardValues', `${carId}.pinion`, { assigned: w.stamp(20 + (n % 6)) })
    })
  const cdp = await pocket.newCDPSession(page)
  const heap = async () => {
    // What is done in idle moments, and what a first collection sets free.
    await sleep(3_000)
    await cdp.send('HeapProfiler.collectGarbage')
    await cdp.send('HeapProfiler.collectGarbage')
    return (await cdp.send('Runtime.getHeapUsage')).usedSize / MIB
  }
  const before = Y.encodeStateAsUpdate(docs.meeting)
  const updates: Uint8Array[] = []
  docs.meeting.on('update', (update: Uint8Array) => updates.push(update))
  const taken: { edits: number; mib: number }[] = []
  for (let n = 0; n < 2 * EDITS; n++) {
    edit(n)
    await sleep(PAUSE_MS)
    const edits = n + 1
    if ((edits < EDITS || (edits - EDITS) % EVERY !== 0) && edits !== 2 * EDITS) continue
    // The page has come so far, too.
    await button.filter({ hasText: packOf(n)?.label ?? '' }).waitFor({ timeout: 60_000 })
    taken.push({ edits, mib: await heap() })
    console.log(`after ${edits} edits: ${taken.at(-1)?.mib.toFixed(2)} MiB`)
  }
  const [first, last] = [taken[0], taken.at(-1)]
  if (!first || !last || first === last) throw new Error(`Too few edits to compare: ${EDITS}`)
  const mean = (of: (t: { edits: number; mib: number }) => number) =>
    taken.reduce((sum, t) => sum + of(t), 0) / taken.length
  const [x, y] = [mean((t) => t.edits), mean((t) => t.mib)]
  const slope =
    taken.reduce((sum, t) => sum + (t.edits - x) * (t.mib - y), 0) /
    taken.reduce((sum, t) => sum + (t.edits - x) ** 2, 0)
  const ratio = last.mib / first.mib
  const own = documentAlone(before, updates)
  console.log(
    `the meeting’s document alone, in Node: ${own.toFixed(0)} bytes an edit (${updates.length} updates)`,
  )
  const isMet = ratio <= GOAL
  console.log(
    `A phone’s page, ${HEATS} heats: ${ratio.toFixed(3)} times the heap after ${last.edits} edits that it had after ${first.edits}, ` +
      `${(slope * MIB).toFixed(0)} bytes an edit (goal: at most ${GOAL} times): ${isMet ? 'met' : 'MISSED'}`,
  )
  if (!isMet) process.exitCode = 1
  await pocket.close()
  close()
} finally {
  await closeBrowser()
  await server.dispose()
}
