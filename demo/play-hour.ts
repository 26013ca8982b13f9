import { parseArgs } from 'node:util'
import { formatRoomName } from '@/lib/sync/room-name'
import { CONTESTED, CONTESTED_VALUES, HOUR_STEPS } from './play/hour'
import { startOwnServer } from './play/own-server'
import { boardText, type Phone } from './play/phone'
import { lostWrites, playSteps, settle, type PlayReport } from './play/play-steps'
import { historyOf, invite, join } from './play/server-api'
import { SocketPhone } from './play/socket-phone'
import { DEMO_PEOPLE } from './roster'
import { DEMO_MEETING_ID } from './seed'

const USAGE = `Plays an hour of the demo's day with seven simulated phones through the real socket.

  npm run demo:play                                      starts a server of its own with the demo
  npm run demo:play -- --url http://127.0.0.1:4310 --code ABCDE-FGHJK
                                                         plays on a server started with --demo; the code is its manager's
  --pace 60     simulated seconds for each real second; 0 does not wait at all

Stamps carry the simulated time, up to an hour ahead of the clock. Ends with 0 when every phone and the server hold the same board.`

/** However slow the pace, a play ends. */
const LIMIT_MS = 15 * 60_000
const PATIENCE_MS = 20_000

async function main(): Promise<number> {
  const values = readOptions()
  if (!values) return 2
  const pace = Number(values.pace)
  if (values.help || !Number.isFinite(pace) || pace < 0 || Boolean(values.url) !== Boolean(values.code)) {
    console.log(USAGE)
    return values.help ? 0 : 2
  }
  if (values.url && !URL.canParse(values.url)) {
    console.error(`“${values.url}” is no address. Give it as in --url http://127.0.0.1:4310`)
    return 2
  }
  const own = values.url ? null : await startOwnServer()
  try {
    const origin = own?.origin ?? new URL(values.url ?? '').origin
    return await play(origin, own?.managerCode ?? values.code?.split('#').at(-1) ?? '', pace)
  } finally {
    await own?.stop()
  }
}

function readOptions() {
  try {
    return parseArgs({
      options: {
        url: { type: 'string' },
        code: { type: 'string' },
        pace: { type: 'string', default: '60' },
        help: { type: 'boolean', default: false },
      },
    }).values
  } catch (e) {
    console.error(e instanceof Error ? e.message : e)
    console.error(USAGE)
    return null
  }
}

async function play(origin: string, managerCode: string, pace: number): Promise<number> {
  const manager = await join(origin, managerCode, { personId: 'petra-amsel' })
  const phones = new Map<string, SocketPhone>()
  const open = (joined: typeof manager) => new SocketPhone(origin, DEMO_MEETING_ID, joined)
  let newcomer: SocketPhone | null = null
  try {
    phones.set('petra-amsel', open(manager))
    const code = {
      mechanic: await invite(origin, manager.cookie, { role: 'mechanic' }),
      driver: await invite(origin, manager.cookie, { role: 'driver' }),
    }
    for (const { id, role } of DEMO_PEOPLE)
      if (role !== 'manager') phones.set(id, open(await join(origin, code[role], { personId: id })))
    for (const phone of phones.values()) await phone.comeBack()
    console.log(
      `${phones.size} phones joined ${origin}: ${[...phones.values()].map((p) => p.name).join(', ')}\n`,
    )
    const problem = notPlayable(phones.get('petra-amsel'))
    if (problem) {
      console.error(problem)
      return 2
    }
    const began = performance.now()
    const report = await playSteps({
      steps: HOUR_STEPS,
      phones,
      beginsAt: manager.serverTime,
      waitFor: (minutes) => (pace === 0 ? Promise.resolve() : sleepUntil(began + (minutes * 60_000) / pace)),
      print: (line) => console.log(line),
      patienceMs: PATIENCE_MS,
    })
    const guest = await join(origin, await invite(origin, manager.cookie, { role: 'guest' }), {
      name: 'Visitor at the fence',
    })
    newcomer = open(guest)
    await newcomer.comeBack()
    const failures = [...report.failures, ...(await compare([...phones.values(), newcomer], report))]
    failures.push(...(await bothInHistory(origin, manager.cookie)))
    return conclude(report, failures, phones.size)
  } finally {
    for (const phone of phones.values()) phone.close()
    newcomer?.close()
  }
}

/** The script knows the demo's day by heart: it can't be played on a board that has moved on. */
function notPlayable(phone: Phone | undefined): string | null {
  const view = phone?.view()
  const heat = view?.heats.get('q2-h05')
  if (!heat) return 'This server does not hold the demo. Start it with: npm start -- --demo'
  return heat.startedAt?.v
    ? 'The hour was already played here. Start the demo again in an empty data folder.'
    : null
}

async function compare(phones: readonly Phone[], report: PlayReport): Promise<string[]> {
  const failures: string[] = []
  if (!(await settle(phones, PATIENCE_MS))) failures.push('the phones never settled')
  const texts = new Set(phones.map(boardText))
  if (texts.size !== 1) failures.push(`the boards differ: ${texts.size} versions on ${phones.length} phones`)
  for (const phone of phones) {
    const lost = lostWrites(report, phone)
    if (lost.length) failures.push(`lost on ${phone.name}’s phone: ${lost.join(', ')}`)
    failures.push(...phone.refusals().map((r) => `refused from ${phone.name}’s phone: ${r}`))
  }
  return failures
}

/** Of two values written apart from each other one is overwritten, and must still be found. */
async function bothInHistory(origin: string, cookie: string): Promise<string[]> {
  const room = formatRoomName({ kind: 'meeting', meetingId: DEMO_MEETING_ID })
  const entries = await historyOf(origin, cookie, { room, ...CONTESTED })
  for (const e of [...entries].reverse())
    console.log(`  history of Curlew’s brake: ${JSON.stringify(e.after)} by ${e.personId}, ${e.outcome}`)
  return CONTESTED_VALUES.filter(
    (value) =>
      !entries.some(
        (e) => e.after !== null && typeof e.after === 'object' && 'v' in e.after && e.after['v'] === value,
      ),
  ).map((value) => `Curlew’s brake of ${value}% is not in its history`)
}

function conclude(report: PlayReport, failures: readonly string[], phones: number): number {
  const sorted = [...report.settleMs].sort((a, b) => a - b)
  const at = (share: number) => (sorted[Math.floor(share * (sorted.length - 1))] ?? 0).toFixed(0)
  console.log(
    `\n${report.steps} steps, ${report.writes} fields written, ${report.expectations} looks at other phones. ` +
      `Until all held a step: median ${at(0.5)} ms, slowest ${at(1)} ms.`,
  )
  for (const failure of failures) console.error(`FAILED  ${failure}`)
  console.log(
    failures.length
      ? `${failures.length} failed.`
      : `All ${phones} phones, and a guest who joined at the end, hold the same board as the server.`,
  )
  return failures.length ? 1 : 0
}

const sleepUntil = (moment: number) =>
  new Promise<void>((resolve) => setTimeout(resolve, Math.max(0, moment - performance.now())))

// Every socket's provider listens for the end of the process, and here are many phones in one.
process.setMaxListeners(4 * DEMO_PEOPLE.length)
const limit = setTimeout(() => {
  console.error(`Given up after ${LIMIT_MS / 60_000} minutes.`)
  process.exit(1)
}, LIMIT_MS)
try {
  process.exitCode = await main()
} catch (e) {
  console.error(e instanceof Error ? e.message : e)
  process.exitCode = 1
} finally {
  clearTimeout(limit)
}
