import { createHash } from 'node:crypto'
import { newId } from '@/lib/core/id'
import { canonicalJson } from '@/lib/core/json'
import type { Role } from '@/lib/core/role'
import { formatRoomName } from '@/lib/sync/room-name'
import { openPostgres } from '@/drizzle/postgres/client'
import { audit, calendarFeeds, invitations, people, photos, sessions } from '@/drizzle/schema'
import type { Settings } from '@/server/env'
import { CalendarFeeds } from '@/server/join/calendar-feeds'
import { Invitations } from '@/server/join/invitations'
import { secureRandom } from '@/server/join/secret-hash'
import { PhotoStore } from '@/server/photos/photo-store'
import { readStore, type BoardClient } from '@/server/storage/board-client'
import { openDatabase } from '@/server/storage/open-database'
import { exportRoom } from '@/server/storage/read-room-doc'
import { openTeamList } from '@/server/teams/open-team-list'
import { TeamList } from '@/server/teams/team-list'
import { settingsOfTeam } from '@/server/teams/team-settings'
import { ProtocolPhone } from '../attack/protocol-phone'
import { askAt, type HttpAnswer } from './ask-at'

const clock = { now: () => Date.now() }
type Where = Pick<Settings, 'dataFolder' | 'database'>

/** Something of everything that a team has, and that another one must know nothing of. */
export interface TeamOwn {
  address: string
  host: string
  managers: readonly string[]
  driver: string
  guest: string
  /** Of an invitation that is open. */
  code: string
  invitationId: string
  personId: string
  sessionId: string
  meetingId: string
  runId: string
  feedToken: string
  feedId: string
  photoHash: string
}

/** The database of a team, beside the running server. */
export function withTeamDatabase<T>(where: Where, address: string, work: (client: BoardClient) => T): T {
  const { dataFolder, database } = settingsOfTeam(where, address)
  const client = database === null ? openDatabase(dataFolder) : openPostgres(database)
  try {
    return work(client)
  } finally {
    client.close()
  }
}

export function withTeamList<T>(where: Where, work: (list: TeamList) => T): T {
  const client = openTeamList(where)
  try {
    return work(new TeamList(client, clock, secureRandom))
  } finally {
    client.close()
  }
}

export const inviteTo = (where: Where, address: string, role: Role) =>
  withTeamDatabase(where, address, (client) =>
    new Invitations(client, clock, secureRandom).create({
      role,
      name: null,
      hours: 2,
      singleUse: false,
      createdBy: 'test',
    }),
  )

/** Until the server has noticed that there is such a team: nothing else tells it from one that there is not. */
async function join(port: number, host: string, code: string, name: string): Promise<string> {
  let answer: HttpAnswer
  for (let tries = 0; ; tries++) {
    answer = await askAt(port, { method: 'POST', host, path: '/api/join', body: { code, name } })
    if (answer.status === 200 || tries > 12) break
    await new Promise((resolve) => setTimeout(resolve, 250))
  }
  const [cookie = ''] = answer.headers['set-cookie'] ?? []
  if (answer.status !== 200) throw new Error(`${name} could not join at ${host}: ${answer.text}`)
  return cookie.split(';')[0] ?? ''
}

/** Make a team on a running server, with people, a meeting, a calendar feed and a photo. */
export async function makeTeam(
  port: number,
  where: Where,
  base: string,
  address: string,
  managers = 1,
): Promise<TeamOwn> {
  const made = withTeamList(where, (list) => list.add(`Team ${address}`, address))
  if (!made.ok) throw new Error(made.error.reason)
  const host = `${address}.${base}:${port}`
  const { code, invitation } = inviteTo(where, address, 'manager')
  const cookies: string[] = []
  for (let n = 0; n < managers; n++) cookies.push(await join(port, host, code, `Manager ${n} of ${address}`))
  const driver = await join(port, host, inviteTo(where, address, 'driver').code, `Driver of ${address}`)
  const guest = await join(port, host, inviteTo(where, address, 'guest').code, `Guest of ${address}`)
  const meetingId: string = newId()
  const runId: string = newId()
  const write = async (room: string, ...to: Parameters<ProtocolPhone['set']>) => {
    const phone = new ProtocolPhone(`ws://127.0.0.1:${port}/sync/${room}`, {
      cookie: cookies[0],
      host,
      origin: `http://${host}`,
    })
    if (!(await phone.synced())) throw new Error(`${room} of ${address} was not opened: ${phone.closeCode}`)
    phone.set(...to)
    if ((await phone.barrier()) === null || phone.rejections.length > 0)
      throw new Error(`${room} of ${address} was not stored`)
    phone.close()
  }
  await write('kit', 'meetings', meetingId, 'name', `Meeting of ${address}`)
  await write(meetingRoom(meetingId), 'entries', runId, 'heatId', newId())
  return withTeamDatabase(where, address, (client) => {
    const row = client.db.select().from(sessions).all()[0]
    const personId = row?.personId ?? ''
    const feed = new CalendarFeeds(client, clock, secureRandom).create({
      personId,
      meetingId,
      createdBy: personId,
    })
    if (!feed.ok) throw new Error(feed.error.reason)
    const data = Buffer.from(`a photo of ${address}`)
    const photoHash = createHash('sha256').update(data).digest('hex')
    new PhotoStore(client, clock).put(
      { meetingId, runId, hash: photoHash, type: 'image/jpeg', data, personId },
      new Set(),
    )
    return {
      address,
      host,
      managers: cookies,
      driver,
      guest,
      code,
      invitationId: invitation.id,
      personId,
      sessionId: row?.id ?? '',
      meetingId,
      runId,
      feedToken: feed.value.token,
      feedId: feed.value.feed.id,
      photoHash,
    }
  })
}

/** All that a team's database says, but for when its phones were last heard of and how the same board is stored. */
export function digestOfTeam(where: Where, address: string): string {
  return withTeamDatabase(where, address, (client) => {
    const store = readStore(client)
    const boards = store.rooms().map((room) => canonicalJson({ room, board: exportRoom(store, room) }))
    const seen = client.db
      .select()
      .from(sessions)
      .all()
      .map(({ lastSeenAt: _, expiresAt: __, checksum: ___, ...rest }) => rest)
    const rows = [audit, calendarFeeds, invitations, people, photos].map((table) =>
      client.db.select().from(table).all(),
    )
    const lines = [...boards, ...[seen, ...rows].map((all) => all.map((row) => JSON.stringify(row)).sort())]
    return createHash('sha256').update(JSON.stringify(lines)).digest('hex')
  })
}

export const meetingRoom = (meetingId: string): string => formatRoomName({ kind: 'meeting', meetingId })
