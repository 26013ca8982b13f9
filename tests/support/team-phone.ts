import { setTimeout as sleep } from 'node:timers/promises'
import { ProtocolPhone } from '../attack/protocol-phone'
import type { ServerProcess } from './server-process'
import type { TeamOwn } from './two-teams'

/** Below it teams of tests have their addresses. */
export const TEAMS_BASE = 'boards.test'
/** An acknowledgement that takes longer than this comes no more: its line is dead. ms */
const PATIENCE_MS = 1_000
const AGAIN_MS = 50

/** A manager's phone of a team that comes in by this process. */
export function phoneOfTeam(server: ServerProcess, { address, managers }: TeamOwn): ProtocolPhone {
  const host = `${address}.${TEAMS_BASE}:${server.port}`
  return new ProtocolPhone(`ws://127.0.0.1:${server.port}/sync/kit`, {
    host,
    origin: `http://${host}`,
    cookie: managers[0],
  })
}

const meetingName = (phone: ProtocolPhone, { meetingId }: TeamOwn) => phone.get('meetings', meetingId, 'name')

/** Call the team's meeting so, by a phone that knocks until that is acknowledged; gives how long it took, ms, and what it was called when the phone got in. */
export async function nameMeeting(
  server: ServerProcess,
  team: TeamOwn,
  name: string,
  withinMs = 15_000,
): Promise<{ ms: number; was: unknown }> {
  const before = performance.now()
  let was: { name: unknown } | null = null
  while (performance.now() - before < withinMs) {
    const phone = phoneOfTeam(server, team)
    const synced = await Promise.race([phone.synced(), sleep(withinMs, false)])
    if (synced) {
      was ??= { name: meetingName(phone, team) }
      phone.set('meetings', team.meetingId, 'name', name)
      if ((await phone.barrier(PATIENCE_MS)) !== null) {
        phone.close()
        return { ms: performance.now() - before, was: was.name }
      }
    }
    phone.close()
    await sleep(AGAIN_MS)
  }
  throw new Error(`No edit of ${team.address} was acknowledged within ${withinMs} ms`)
}

/** What a fresh phone is told that the meeting is called. */
export async function readMeetingName(server: ServerProcess, team: TeamOwn): Promise<unknown> {
  const phone = phoneOfTeam(server, team)
  try {
    if (!(await phone.synced())) throw new Error(`${team.address} let nobody in: ${phone.closeCode}`)
    return meetingName(phone, team)
  } finally {
    phone.close()
  }
}
