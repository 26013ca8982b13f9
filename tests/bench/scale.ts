/**
 * `npm run bench:scale`: what one process holds, beside its goals; exits 1 where one is missed. `-- --quick` is a short one for trying, whose
 * figures say nothing. Phones are in a process of their own; server and phones share the machine's processors.
 */
import { loadavg } from 'node:os'
import { setTimeout as sleep } from 'node:timers/promises'
import { parseArgs } from 'node:util'
import { OPEN_TEAMS } from '@/server/teams/team-limits'
import { Postgres, whyNoPostgres } from '../support/postgres'
import { ServerProcess } from '../support/server-process'
import { TEAMS_BASE } from '../support/team-phone'
import { cookiesFor } from './scale/cookies-for'
import { measureEngines } from './scale/engines'
import { measureTeams } from './scale/teams'
import { commitMs, figuresOf, type OwnFigures } from './scale/figures-of'
import type { ScaleConfig, ScaleResult } from './scale/load'
import { runLoad } from './scale/run-load'
import { show, table } from './sync/figures'

const { quick } = parseArgs({ options: { quick: { type: 'boolean', default: false } } }).values
const SIZE = quick
  ? { phones: 60, rooms: 30, seconds: 4, edits: 1_000, teams: 20 }
  : { phones: 500, rooms: 500, seconds: 20, edits: 10_000, teams: OPEN_TEAMS.sqlite }
/** Edits per second: of the one room, and of all rooms together. */
const RATES = { room: 10, rooms: 100 }
const PHONES_PER_ROOM = 3
const SCRIPT = ['--expose-gc', '--import', 'tsx', 'tests/bench/scale/server.ts']
const rows: [string, string, string, boolean | null][] = []
/** A long run says what it has so far. */
const sayRows = (from: number) => {
  for (const row of rows.slice(from)) console.error(row.slice(0, 3).join(' | '))
  return rows.length
}
let told = 0
const load = () => `load ${loadavg()[0]?.toFixed(1)}`
const kib = (bytes: number) => `${show(bytes / 1024, 1)} KiB`

async function underLoad<T>(
  more: Record<string, string>,
  work: (server: ServerProcess, run: (over: Partial<ScaleConfig>) => Promise<ScaleResult>) => Promise<T>,
): Promise<T> {
  const env = { SCALE_ROOMS: String(SIZE.rooms), ...more }
  const server = await ServerProcess.start({ screens: false, script: SCRIPT, env })
  try {
    const cookies = await cookiesFor(server, Math.max(SIZE.phones, SIZE.rooms * PHONES_PER_ROOM))
    const config: ScaleConfig = {
      url: `ws://127.0.0.1:${server.port}/sync`,
      cookies,
      rooms: [],
      phones: 1,
      presence: 0,
      rate: 1,
      seconds: SIZE.seconds,
      serverPid: server.pid,
    }
    return await work(server, (over) =>
      runLoad<ScaleResult>(new URL('scale/load.ts', import.meta.url), { ...config, ...over }),
    )
  } finally {
    await server.dispose()
  }
}
const meetings = (n: number) => Array.from({ length: n }, (_, i) => `meeting-s${i}`)

// (a) One room.
const one = await underLoad({}, (_, run) =>
  run({ rooms: meetings(1), phones: SIZE.phones, presence: 1, rate: RATES.room }),
)
const inOneRoom = `${SIZE.phones} phones in one room`
rows.push(
  [`${inOneRoom}: seated (${load()})`, String(one.sockets), String(SIZE.phones), one.sockets === SIZE.phones],
  [`${inOneRoom}: presence sent`, String(one.presenceSent), '', null],
  ['  not told to somebody within 2 s', String(one.presenceUndelivered), '0', one.presenceUndelivered === 0],
  ['  told after, p99, ms', show(one.presenceP99), '', null],
  ['  edits not shown to somebody', String(one.editsUndelivered), '0', one.editsUndelivered === 0],
  ['  edit seen by others, p50, ms', show(one.p50), '', null],
  ['  edit seen by others, p99, ms', show(one.p99), 'at most 25', (one.p99 ?? Infinity) <= 25],
  ['  processors: server', show(one.serverCpu / one.seconds), '', null],
  ['  processors: phones', show(one.loadCpu / one.seconds), '', null],
)
told = sayRows(told)
// (b) Many rooms.
const many = await underLoad({}, async (server, run) => {
  const before = await figuresOf(server)
  const r = await run({ rooms: meetings(SIZE.rooms), phones: PHONES_PER_ROOM, rate: RATES.rooms })
  return { ...r, commit: commitMs(before, await figuresOf(server)) }
})
const seats = SIZE.rooms * PHONES_PER_ROOM
const less = (many.p99 ?? Infinity) - many.commit.mean
rows.push(
  [
    `${SIZE.rooms} rooms of ${PHONES_PER_ROOM}: seated (${load()})`,
    String(many.sockets),
    String(seats),
    many.sockets === seats,
  ],
  [`  edits, ${RATES.rooms} a second in all`, String(many.edits), '', null],
  ['  edits not shown to somebody', String(many.editsUndelivered), '0', many.editsUndelivered === 0],
  ['  edit seen by others, p50, ms', show(many.p50), '', null],
  ['  edit seen by others, p99, ms', show(many.p99), '', null],
  ['  a commit: mean, ms', show(many.commit.mean), '', null],
  ['  a commit: p99, ms (of the histogram)', show(many.commit.p99), '', null],
  ['  p99 less the mean commit, ms', show(less), 'at most 10', less <= 10],
  ['  server CPU per edit, ms', show((many.serverCpu * 1_000) / many.edits), '', null],
)
told = sayRows(told)
// (c) Memory.
const memory = await underLoad({ SCALE_TIDY: '1' }, async (server, run) => {
  const settled = async (rooms: number) => {
    for (let looks = 0; looks < 60; looks++) {
      const is = await figuresOf(server)
      if (is.rooms <= rooms && is.sockets === 0) break
      await sleep(500)
    }
    await sleep(1_500)
    return figuresOf(server)
  }
  const during = async (phones: number) => {
    let last: OwnFigures | null = null
    const timer = setInterval(() => {
      void figuresOf(server).then((is) => {
        if (is.sockets === SIZE.rooms * phones) last = is
      })
    }, 500)
    await run({ rooms: meetings(SIZE.rooms), phones, seconds: 4 })
    clearInterval(timer)
    return last as OwnFigures | null
  }
  // Once, so that what is compiled and kept for good is there before.
  await during(1)
  const empty = await settled(1)
  const single = await during(1)
  const full = await during(PHONES_PER_ROOM)
  return { empty, single, full, after: await settled(1) }
})
const { empty, single, full, after } = memory
const growth = (of: (f: OwnFigures) => number, a: OwnFigures | null, b: OwnFigures | null) =>
  a && b ? of(b) - of(a) : NaN
const heap = (f: OwnFigures) => f.heapBytes
const perSocket = growth(heap, single, full) / (SIZE.rooms * (PHONES_PER_ROOM - 1))
const perRoom = growth(heap, empty, single) / SIZE.rooms - perSocket
const left = growth(heap, empty, after)
rows.push(
  [`objects per socket (${load()})`, kib(perSocket), '', null],
  ['objects per small room', kib(perRoom), '', null],
  ['memory of the process, empty', kib(empty.residentBytes), '', null],
  [`  with ${SIZE.rooms} rooms and ${seats} sockets`, kib(full?.residentBytes ?? NaN), '', null],
  ['rooms in memory after all left', String(after.rooms), 'at most 1', after.rooms <= 1],
  ['objects left per room once unloaded', kib(left / SIZE.rooms), '', null],
)
told = sayRows(told)
// (d) Teams.
const teamServer = await ServerProcess.start({
  screens: false,
  script: SCRIPT,
  env: { SCALE_ROOMS: '0', SCALE_TIDY: '1', STAGECALL_TEAMS: TEAMS_BASE },
})
const ofTeams = await measureTeams(teamServer, SIZE.teams).finally(() => teamServer.dispose())
const visits = ofTeams.firstVisits
rows.push(
  [
    `teams open in one process (${load()})`,
    String(ofTeams.open),
    String(SIZE.teams),
    ofTeams.open === SIZE.teams,
  ],
  ['  memory of the process with none', kib(ofTeams.empty), '', null],
  ['  memory for each', kib(ofTeams.perTeam), '', null],
  ['  its first visitor waits, median, ms', show(visits[Math.floor(visits.length / 2)] ?? NaN), '', null],
)
sayRows(told)
// One process and several.
const why = whyNoPostgres()
const postgres = why === null ? await Postgres.start() : null
const engines = await measureEngines(postgres, SIZE.edits).finally(() => postgres?.dispose())
const lost = engines.reduce((sum, e) => sum + e.undelivered, 0)
rows.push([`edits not shown, all engines (${load()})`, String(lost), '0', lost === 0])
rows.push(['engines measured', String(engines.length), '3', engines.length === 3])

console.log(
  table(
    ['what one process holds', 'is', 'goal', 'met'],
    rows.map(([what, is, goal, met]) => [what, is, goal, met === null ? '' : met ? 'yes' : 'NO']),
  ),
)
console.log(
  '\n60 phones in one room of 600 heats; CPU of all of the board’s processes, joining included, without PostgreSQL’s\n',
)
console.log(
  table(
    ['', 'p50, ms', 'p99, ms', 'edits/s', 'CPU ms/edit'],
    engines.map((e) => [e.name, show(e.p50), show(e.p99), show(e.perSecond), show(e.cpuPerEdit)]),
  ),
)
if (why !== null) console.log(`PostgreSQL was not measured: ${why}`)

// (e) A race weekend.
const WEEKEND = { teams: 10_000, phones: 5, editsPerPhoneMinute: 1, busy: 0.5 }
const edits = (WEEKEND.teams * WEEKEND.phones * WEEKEND.editsPerPhoneMinute) / 60
const cpuPerEdit = many.serverCpu / many.edits
const byCpu = (edits * cpuPerEdit) / WEEKEND.busy
const sockets = WEEKEND.teams * WEEKEND.phones * 2
const objects = sockets * perSocket + WEEKEND.teams * 2 * perRoom
const processes = Math.ceil(WEEKEND.teams / OPEN_TEAMS.sqlite)
const gib = (bytes: number) => `${show(bytes / 2 ** 30, 1)} GiB`
console.log(
  `\n10,000 teams at once, computed: each has a kit and a meeting, ${WEEKEND.phones} phones with two sockets each, an edit a minute per phone, processors half busy.` +
    `\n  ${Math.round(edits)} edits/s at ${show(cpuPerEdit * 1_000)} ms of CPU (with what the sockets cost meanwhile): ${show(byCpu, 1)} processors` +
    `\n  ${processes} servers of ${OPEN_TEAMS.sqlite} teams each, ${WEEKEND.phones * 2 * OPEN_TEAMS.sqlite} sockets in each: ${gib(processes * ofTeams.empty)} for the processes, ` +
    `${gib(WEEKEND.teams * ofTeams.perTeam)} for boards that are open, ${gib(objects)} for their sockets and rooms`,
)
process.exit(rows.every(([, , , met]) => met !== false) ? 0 : 1)
