import { mkdirSync } from 'node:fs'
import { Doc, encodeStateAsUpdate } from 'yjs'
import { forgetGenerations } from '@/drizzle/postgres/forget-generations'
import type { BoardHost } from '../host-board'
import { amongPeers } from '../peers/among-peers'
import type { OpenedStore } from '../storage/open-store'
import { KIT } from '../storage/postgres-statements'
import { emptyBatch } from '../storage/store'
import type { Timers } from '../sync/timers'
import { serveTeams, type ServedTeams, type ServeTeamsParts } from './serve-teams'
import { LIKE_TEAMS, NOBODY, settingsOfTeam } from './team-settings'

/**
 * [P5] Many teams' boards, in this process alone or with several processes in the one that leads: whoever has the board that is nobody's has those of
 * all teams. @throws DatabaseError
 */
export async function hostTeams(parts: Omit<ServeTeamsParts, 'forgetGenerations'>): Promise<BoardHost> {
  const { settings, timers, log, secure, onOver } = parts
  const { database, peer } = settings
  const own = settingsOfTeam(settings, NOBODY)
  const forget = onceForAll(async () => {
    if (database !== null) await forgetGenerations(database, LIKE_TEAMS)
  }, timers)
  const all = { ...parts, forgetGenerations: forget }
  if (own.database === null || peer === null) {
    const teams = await serveTeams(all)
    return { ...teams, board: () => null, whyNotReady: () => teams.whyNotWritable() }
  }
  mkdirSync(own.dataFolder, { recursive: true, mode: 0o700 })
  const serve = async (opened: OpenedStore): Promise<ServedTeams> => {
    try {
      ensureRoom(opened, parts.clock.now())
    } catch (e) {
      opened.stopTending()
      opened.client.close()
      throw e
    }
    return serveTeams(all, { opened, settings: own, lock: null })
  }
  const { led, ...host } = await amongPeers({
    url: own.database,
    peer,
    timers,
    log,
    secure,
    serve,
    forgetGenerations: forget,
    onOver,
  })
  return { ...host, board: () => null, hasNotice: () => led()?.hasNotice() ?? false }
}

/** A lease is of a room, and nobody ever writes to this board: the first process that leads makes it. @throws DatabaseError where another one just did */
function ensureRoom({ store }: OpenedStore, now: number): void {
  // Where another process has just made it, this one is told so here.
  if (store.rooms().includes(KIT)) return void store.load(KIT)
  const update = encodeStateAsUpdate(new Doc())
  store.commit({ ...emptyBatch(), updates: [{ room: KIT, update, at: now }] })
}

const TRIES = 4
const AGAIN_MS = 250

/** Every connection of the process may see at once that the database went back: one of them does it for all, more than once where it fails. */
function onceForAll(work: () => Promise<void>, timers: Pick<Timers, 'after'>): () => Promise<void> {
  let doing: Promise<void> | null = null
  const keepTrying = async (): Promise<void> => {
    for (let tries = 1; ; tries++)
      try {
        return await work()
      } catch (e) {
        if (tries === TRIES) throw e
        await new Promise<void>((resolve) => void timers.after(AGAIN_MS, resolve))
      }
  }
  return () => (doing ??= keepTrying())
}
