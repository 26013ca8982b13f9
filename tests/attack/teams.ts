import { setTimeout as sleep } from 'node:timers/promises'
import { askAt } from '../support/ask-at'
import { tryCrossTeam, type Tried } from '../support/cross-team'
import { ServerProcess } from '../support/server-process'
import { digestOfTeam, inviteTo, makeTeam, withTeamList } from '../support/two-teams'

/** One person may ask twenty times a second, and what strangers take of a board's time is limited. */
const PAUSE_MS = 250
const DEAR_PAUSE_MS = 1_300
const MANAGERS = 6
const CLOSED = 30
/** Times differ by chance; farther apart than this, and by so much, they would tell something. */
const APART = { ratio: 1.5, ms: 2 }

/**
 * So many attempts over sockets, HTTP, feeds, photos, join codes and the crew's admin to learn or change something of another team on the
 * real server process. Prints what was seen; true when nothing got through.
 */
export async function attackTeams(attempts: number, database?: string): Promise<boolean> {
  const base = 'boards.test'
  const server = await ServerProcess.start({
    screens: false,
    env: { STAGECALL_LOG: 'warn', STAGECALL_TEAMS: base },
    ...(database !== undefined && { database }),
  })
  try {
    const where = { dataFolder: server.dataFolder, database: database ?? null }
    const own = await makeTeam(server.port, where, base, 'crow', MANAGERS)
    const other = await makeTeam(server.port, where, base, 'rook', MANAGERS)
    const digests = () => [own, other].map((team) => digestOfTeam(where, team.address)).join()
    const before = digests()
    const tried: Tried[] = []
    for (let turn = 0; tried.length < attempts; turn++) {
      tried.push(...(await tryCrossTeam(server.port, base, [own, other], turn, DEAR_PAUSE_MS)))
      await sleep(PAUSE_MS)
    }
    const different = tried.filter((t) => t.difference !== null)
    const isSame = digests() === before
    const slow = timesOf(tried) + (await closedBoards(server, where, base))
    for (const { what, difference } of different.slice(0, 5))
      console.log(`DIFFERENT  ${what}: ${difference ?? ''}`)
    console.log(
      `${tried.length} attempts: ${different.length} answered otherwise than what does not exist; databases ${isSame ? 'unchanged' : 'CHANGED'}; ${slow} of the kinds told by their time`,
    )
    return different.length === 0 && isSame && slow === 0
  } finally {
    await server.dispose()
  }
}

/** First visitors of boards that nobody has opened yet, beside those of addresses of no team. 1 where the two lie apart. */
async function closedBoards(
  server: ServerProcess,
  where: { dataFolder: string; database: string | null },
  base: string,
): Promise<number> {
  const addresses = Array.from({ length: CLOSED }, (_, n) => `closed-${n}`)
  for (const address of addresses) {
    withTeamList(where, (list) => list.add(address, address))
    inviteTo(where, address, 'manager')
  }
  await server.restart()
  const ask = async (address: string) =>
    (await askAt(server.port, { host: `${address}.${base}:${server.port}`, path: '/api/session' })).ms
  const [team, none]: [number[], number[]] = [[], []]
  for (const address of addresses) {
    team.push(await ask(address))
    none.push(await ask(`no-${address}`))
  }
  const [a, b] = [median(team) ?? 0, median(none) ?? 0]
  console.log(
    `first visitors of ${CLOSED} closed boards: median ${a.toFixed(1)} ms; of as many addresses of no team: ${b.toFixed(1)} ms`,
  )
  return isFar([a, b]) ? 1 : 0
}

const isFar = (medians: readonly number[]): boolean => {
  const [least, most] = [Math.min(...medians), Math.max(...medians)]
  return most - least > APART.ms && most > APART.ratio * least
}

/** Medians beside each other. How many kinds lie apart. */
function timesOf(tried: readonly Tried[]): number {
  console.log(
    `${'median ms'.padEnd(44)}${['its own', 'made up', 'no team'].map((t) => t.padStart(9)).join('')}`,
  )
  let apart = 0
  for (const what of new Set(tried.map((t) => t.what))) {
    const of = tried.filter((t) => t.what === what).map((t) => t.times)
    const medians = (['own', 'madeUp', 'noTeam'] as const).map((kind) =>
      median(of.flatMap((t) => t[kind] ?? [])),
    )
    const there = medians.filter((m) => m !== null)
    const isApart = isFar(there)
    if (isApart) apart++
    const cells = medians.map((m) => (m === null ? '–' : m.toFixed(2)).padStart(9))
    console.log(`${what.padEnd(44)}${cells.join('')}${isApart ? '   APART' : ''}`)
  }
  return apart
}

function median(all: readonly number[]): number | null {
  const sorted = [...all].sort((a, b) => a - b)
  return sorted[Math.floor(sorted.length / 2)] ?? null
}
