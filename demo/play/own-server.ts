import { spawn } from 'node:child_process'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { z } from 'zod'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const START_MS = 120_000
const STOP_MS = 10_000

export interface OwnServer {
  origin: string
  managerCode: string
  stop(): Promise<void>
}

/** What the server tells its parent process once it is up. */
const readyMessage = z.object({
  ready: z.literal(true),
  port: z.number(),
  links: z.array(z.object({ label: z.string(), url: z.string() })),
})

/** Start a server with the demo in a data folder of its own, on a free port, without screens. @throws when it does not come up. */
export async function startOwnServer(): Promise<OwnServer> {
  const folder = await mkdtemp(join(tmpdir(), 'stagecall-play-'))
  const child = spawn(process.execPath, [join(ROOT, 'server/start.mjs'), '--demo', '--no-screens'], {
    cwd: ROOT,
    env: { ...process.env, PORT: '0', HOST: '127.0.0.1', STAGECALL_DATA: folder, STAGECALL_LOG: 'warn' },
    stdio: ['ignore', 'pipe', 'pipe', 'ipc'],
  })
  const ended = new Promise<void>((resolve) => child.once('close', () => resolve()))
  const stop = async () => {
    child.kill('SIGTERM')
    const force = setTimeout(() => child.kill('SIGKILL'), STOP_MS)
    await ended
    clearTimeout(force)
    await rm(folder, { recursive: true, force: true })
  }
  let printed = ''
  const keep = (chunk: Buffer) => void (printed = (printed + chunk.toString('utf8')).slice(-4000))
  child.stdout?.on('data', keep)
  child.stderr?.on('data', keep)
  try {
    const { port, managerCode } = await new Promise<{ port: number; managerCode: string }>(
      (resolve, reject) => {
        const fail = (why: string) => reject(new Error(`The server ${why}.\n${printed}`))
        const timer = setTimeout(() => fail(`did not start within ${START_MS / 1000} s`), START_MS)
        child.once('error', (e) => fail(`could not be started: ${e.message}`))
        child.once('close', (code) => {
          clearTimeout(timer)
          fail(`ended with ${code} before it was ready`)
        })
        child.on('message', (message) => {
          const ready = readyMessage.safeParse(message)
          if (!ready.success) return
          clearTimeout(timer)
          const link = ready.data.links.find((l) => l.label.startsWith('Manager'))
          const managerCode = link?.url.split('#')[1]
          if (managerCode) resolve({ port: ready.data.port, managerCode })
          else fail('printed no link for a manager')
        })
      },
    )
    return { origin: `http://127.0.0.1:${port}`, managerCode, stop }
  } catch (e) {
    await stop()
    throw e
  }
}
