import { spawn } from 'node:child_process'
import { getPriority, loadavg, setPriority } from 'node:os'
import { fileURLToPath } from 'node:url'
import type { JoinedClient, ServerProcess } from '../support/server-process'
import { outcomeOf, type Attack, type Outcome } from './attack'
import type { Flood, FloodConfig } from './flood-attacker'
import type { Ground } from './ground'
import type { HonestProbe, ProbeFigures } from './honest-probe'

const ATTACKER = fileURLToPath(new URL('flood-attacker.ts', import.meta.url))
const ROOT = fileURLToPath(new URL('../..', import.meta.url))
/** Quiet spells before the flood, and how long each is; the one in the middle counts. */
const SPELLS = 3
const QUIET_MS = 2_000
const FLOOD_MS = 8_000
const GUESTS = 8
const SOCKETS = 4
/** Under a flood an honest p99 stays under this, ms. Where the machine itself is too slow for that, so many times the quiet one is the most. */
const P99_MS = 100
const TIMES_QUIET = 5

export const FLOODS: readonly Flood[] = [
  'known state re-sent',
  '99,000-struct frames',
  'presence queries',
  'questions with big vectors',
  'presence floods',
  'joins',
  'history reads',
]

/** Heats as a big race day has them, and notes with a past. */
async function fillBoard(ground: Ground, server: ServerProcess, manager: JoinedClient, room: string) {
  const phone = await ground.joined(server, manager, room)
  for (let part = 0; part < 6; part++) {
    phone.doc.transact(() => {
      for (let i = 0; i < 120; i++) {
        phone.set('heats', `h${part}x${i}`, 'label', `Heat ${part} ${i}`)
        phone.set('notes', `n${part}x${i}`, 'about', `Of heat ${i}`)
      }
    })
    if ((await phone.barrier(30_000)) === null) throw new Error('The board was not filled')
  }
  phone.close()
}

/**
 * Whatever else this machine does is not the server's doing either: where the system allows it, the server and the honest phone come first.
 * The quiet spells are timed in the same way.
 */
function putFirst(pid: number): void {
  try {
    setPriority(pid, -15)
  } catch {
    // Only for an administrator.
  }
}

/** `started` is called when the attacker is about to begin: making itself ready is no attack. */
function runAttacker(
  config: FloodConfig,
  started: () => Promise<void>,
): Promise<{ sent: number; bytes: number }> {
  return new Promise((resolve, reject) => {
    const args = ['--import', 'tsx', ATTACKER, JSON.stringify(config)]
    const child = spawn(process.execPath, args, { cwd: ROOT, stdio: ['pipe', 'pipe', 'inherit'] })
    // What the attacker's own work takes of this machine is not the server's doing.
    if (child.pid !== undefined) setPriority(child.pid, Math.min(19, Math.max(0, getPriority()) + 10))
    const timer = setTimeout(() => child.kill('SIGKILL'), config.ms + 60_000)
    let out = ''
    child.stdout.on('data', (d: Buffer) => (out += d.toString()))
    child.stdout.once('data', () => {
      out = ''
      started().then(() => child.stdin.end(), reject)
    })
    child.on('exit', (code) => {
      clearTimeout(timer)
      if (code === 0) resolve(JSON.parse(out) as { sent: number; bytes: number })
      else reject(new Error(`the attacker ended with ${code}`))
    })
  })
}

async function quietSpell(ground: Ground, server: ServerProcess, mechanic: JoinedClient, room: string) {
  const spells: ProbeFigures[] = []
  for (let i = 0; i < SPELLS; i++) spells.push(await ground.quiet(server, mechanic, room, QUIET_MS))
  const middle = spells.sort((a, b) => a.p99 - b.p99)[Math.floor(SPELLS / 2)]
  if (!middle) throw new Error('There was no quiet spell')
  return middle
}

/** On a machine whose quiet p99 leaves no room below 100 ms, a p99 between that and 5 times the quiet one says nothing of the server. */
function judge(
  quiet: ProbeFigures,
  under: ProbeFigures,
  others: readonly (readonly [boolean, string])[],
): Outcome {
  const seen = `quiet ${told(quiet)}; under attack ${told(under)}, worst ${under.worst.toFixed(0)} ms; load ${(loadavg()[0] ?? 0).toFixed(1)}`
  const outcome = outcomeOf([
    [under.p99 <= Math.max(P99_MS, TIMES_QUIET * quiet.p99), seen],
    [under.unanswered === 0, `${under.unanswered} of ${under.edits} edits unanswered`],
    ...others,
  ])
  if (!outcome.held || under.p99 <= P99_MS) return outcome
  return { ...outcome, judged: false, detail: `the machine was too busy to judge: ${outcome.detail}` }
}

const told = (f: ProbeFigures) => `p50 ${f.p50.toFixed(1)}, p99 ${f.p99.toFixed(1)} ms`

const floodAttack = (flood: Flood): Attack => ({
  rule: 'S25',
  title: `Flood by guests: ${flood}; an honest mechanic beside it`,
  short: false,
  async run(ground) {
    const server = await ground.server()
    const own = getPriority()
    ground.atEnd(() => setPriority(own))
    for (const pid of [server.pid, process.pid]) putFirst(pid)
    const manager = await server.join('manager', { name: 'Boss' })
    const mechanic = await server.join('mechanic', { name: 'Mo' })
    const guests: JoinedClient[] = []
    for (let i = 0; i < GUESTS; i++) guests.push(await server.join('guest', { name: `Guest ${i}` }))
    const room = await ground.meeting(server, manager)
    await fillBoard(ground, server, manager, room)
    const quiet = await quietSpell(ground, server, mechanic, room)
    let probe: HonestProbe | null = null
    const config = {
      flood,
      port: server.port,
      room,
      cookies: guests.map((g) => g.cookie),
      sockets: SOCKETS,
      code: server.invite('guest').code,
      ms: FLOOD_MS,
    }
    const { sent, bytes } = await runAttacker(config, async () => {
      probe = await ground.probe(server, mechanic, room)
    })
    if (!probe) throw new Error('the attacker never began')
    const under = await (probe as HonestProbe).stop()
    return judge(quiet, under, [
      [sent > 0, `the attacker sent ${sent} in ${FLOOD_MS / 1000} s, ${(bytes / 2 ** 20).toFixed(1)} MiB`],
    ])
  },
})

/** Run with `npm run attack -- --only flood`: the table of honest acknowledgements, quiet and under each flood. */
export const floodAttacks: readonly Attack[] = FLOODS.map(floodAttack)
