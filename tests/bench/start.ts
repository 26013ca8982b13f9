/**
 * `npm run bench:start`: how long `npm start` takes on a prepared tree, from the command to a page that works (the demo's running order in Chromium, all of it
 * there), and what the server's processor did meanwhile. By turns with the same server loaded from its TypeScript, as every start did before there was a bundle.
 *
 * Options: --runs 7. Prints medians and exits 1 where the bundle is not the faster one.
 */
import { parseArgs } from 'node:util'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, isWhole, laptop, signIn } from '../support/browser'
import { ServerProcess, type JoinedClient } from '../support/server-process'
import { median } from './edit-cost'
import { cpuOf } from './sync/figures'

const { values: o } = parseArgs({ options: { runs: { type: 'string', default: '7' } } })

/** One way to start the server, over a folder of its own, and what was measured of it. */
class Way {
  readonly listensS: number[] = []
  readonly pageS: number[] = []
  readonly cpuS: number[] = []

  private constructor(
    readonly name: string,
    readonly server: ServerProcess,
    readonly manager: JoinedClient,
  ) {}

  static async prepare(name: string, script?: string[]): Promise<Way> {
    const server = await ServerProcess.start({ demo: true, ...(script && { script }) })
    return new Way(name, server, await server.join('manager', { personId: 'petra-amsel' }))
  }

  async measure(): Promise<void> {
    const { server } = this
    await server.stop()
    const context = await laptop()
    await signIn(context, server.origin, this.manager)
    const page = await context.newPage()
    const from = performance.now()
    const since = () => (performance.now() - from) / 1000
    await server.restart()
    this.listensS.push(since())
    await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}`)
    await isWhole(page)
    this.pageS.push(since())
    this.cpuS.push(cpuOf(server.pid))
    await context.close()
  }

  say(): void {
    const [listens, page, cpu] = [this.listensS, this.pageS, this.cpuS].map((s) => median(s).toFixed(2))
    const [least, most] = [Math.min(...this.pageS), Math.max(...this.pageS)].map((s) => s.toFixed(2))
    console.log(
      `${this.name}: listens after ${listens} s, a page that works after ${page} s (${least} to ${most}), ${cpu} CPU seconds of the server`,
    )
  }

  /** The first start is for the files that the machine has to read from its disk. */
  forget(): void {
    for (const figures of [this.listensS, this.pageS, this.cpuS]) figures.length = 0
  }
}

const ways: Way[] = []
try {
  ways.push(await Way.prepare('bundled once'))
  ways.push(await Way.prepare('TypeScript at every start', ['tests/bench/start-from-source.mjs']))
  for (const way of ways) {
    await way.measure()
    way.forget()
  }
  for (let run = 0; run < Number(o.runs); run++) for (const way of ways) await way.measure()
} finally {
  await closeBrowser()
  for (const { server } of ways) await server.dispose()
}
for (const way of ways) way.say()
const [bundled = NaN, loaded = NaN] = ways.map(({ pageS }) => median(pageS))
const ratio = loaded / bundled
console.log(
  `Loaded at every start takes ${ratio.toFixed(2)} times as long (goal: above 1): ${ratio > 1 ? 'met' : 'missed'}`,
)
process.exit(ratio > 1 ? 0 : 1)
