/**
 * `npm run bench:start`: how long `npm start` takes on a prepared tree, from the command to a page that works (the demo's running order in Chromium, all of it
 * there), and what the server's processor did meanwhile. By turns with the same server loaded from its TypeScript, as every start did before there was a bundle.
 *
 * Options: --runs 7. Prints medians and exits 1 where the bundle is not the faster one.
 */
import { readFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, isWhole, laptop, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'
import { median } from './edit-cost'

const { values: o } = parseArgs({ options: { runs: { type: 'string', default: '7' } } })
/** What Linux counts a process's time in, per second. */
const TICKS = 100

/** Seconds of processor that a process has had so far, its threads included. */
function cpuSeconds(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ') ?? []
  return (Number(fields[11]) + Number(fields[12])) / TICKS
}

const ways = {
  'bundled once': await ServerProcess.start({ demo: true }),
  'TypeScript at every start': await ServerProcess.start({
    demo: true,
    script: ['tests/bench/start-from-source.mjs'],
  }),
}
const figures = Object.fromEntries(
  Object.keys(ways).map((way) => [
    way,
    { listens: [] as number[], page: [] as number[], cpu: [] as number[] },
  ]),
)
try {
  const people = new Map<ServerProcess, Awaited<ReturnType<ServerProcess['join']>>>()
  for (const server of Object.values(ways))
    people.set(server, await server.join('manager', { personId: 'petra-amsel' }))
  // The first of each is for the files that the machine has to read from its disk.
  for (let run = -1; run < Number(o.runs); run++)
    for (const [way, server] of Object.entries(ways)) {
      await server.stop()
      const context = await laptop()
      const who = people.get(server)
      if (who) await signIn(context, server.origin, who)
      const page = await context.newPage()
      const from = performance.now()
      await server.restart()
      const listens = performance.now() - from
      await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}`)
      await isWhole(page)
      const shown = performance.now() - from
      const cpu = cpuSeconds(server.pid)
      await context.close()
      if (run < 0) continue
      figures[way]?.listens.push(listens)
      figures[way]?.page.push(shown)
      figures[way]?.cpu.push(cpu)
    }
} finally {
  await closeBrowser()
  for (const server of Object.values(ways)) await server.dispose()
}
const seconds = (ms: number) => (ms / 1000).toFixed(2)
for (const [way, { listens, page, cpu }] of Object.entries(figures))
  console.log(
    `${way}: listens after ${seconds(median(listens))} s, a page that works after ${seconds(median(page))} s ` +
      `(${seconds(Math.min(...page))} to ${seconds(Math.max(...page))}), ${median(cpu).toFixed(2)} CPU seconds of the server`,
  )
const [bundled = [], loaded = []] = Object.values(figures).map((f) => f.page)
const ratio = median(loaded) / median(bundled)
console.log(
  `Loaded at every start takes ${ratio.toFixed(2)} times as long (goal: above 1): ${ratio > 1 ? 'met' : 'missed'}`,
)
process.exit(ratio > 1 ? 0 : 1)
