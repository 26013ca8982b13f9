import type { CommitBatch } from '@/server/storage/store'
import { emptyBatch } from '@/server/storage/store'
import { MemoryStore } from '@/server/storage/memory-store'
import { GroupCommit, type TurnMember } from '@/server/sync/commit'
import { HandTimers } from './hand-timers'

/** Timers that tell what runs as soon as the socket in hand has been read from what waits for the end of the turn. */
class TellingTimers extends HandTimers {
  readonly scheduled: ('soon' | 'turn')[] = []
  override soon(run: () => void) {
    this.scheduled.push('soon')
    super.turn(run)
  }
  override turn(run: () => void) {
    this.scheduled.push('turn')
    super.turn(run)
  }
}

/** A group commit over a disk whose state the test sets, with rooms that only write down what happens to them. */
export function commitBench() {
  const disk = { full: null as unknown, gone: null as unknown, found: [] as string[], takesMs: 0 }
  const written: Required<CommitBatch>[] = []
  class Store extends MemoryStore {
    override check() {
      if (disk.gone !== null) throw disk.gone
    }
    override commit(batch: Required<CommitBatch>) {
      timers.now += disk.takesMs
      if (disk.full !== null) throw disk.full
      written.push(batch)
    }
    override takeFound() {
      if (disk.full === 'unreadable') throw new Error('no answer')
      return disk.found.splice(0)
    }
  }
  const timers = new TellingTimers()
  const logged: string[] = []
  const tell = (level: string) => (fields: { err?: unknown }, message: string) =>
    void logged.push(`${level}: ${message}${fields.err instanceof Error ? ` (${fields.err.message})` : ''}`)
  const log = { info: tell('info'), warn: tell('warn'), error: tell('error') }
  const took: number[] = []
  const commit = new GroupCommit(new Store(), { now: () => 42 }, log, timers, (ms) => void took.push(ms))
  const events: string[] = []
  return {
    disk,
    written,
    timers,
    logged,
    /** What each write took, ms. */
    took,
    commit,
    /** What happened to the rooms since the last call. */
    happened: () => events.splice(0),
    /** A room whose next turns hold what `work` says. */
    room: (room: string, work: Partial<CommitBatch> | (() => Partial<CommitBatch>) = {}) => {
      const member: TurnMember = {
        room,
        canBuildOn: () => true,
        prepare: () => {
          events.push(`${room} prepares`)
          const { alongside: _, ...nothing } = emptyBatch()
          return { ...nothing, ...(typeof work === 'function' ? work() : work) }
        },
        settle: () => void events.push(`${room} settles`),
        rollback: (reason) => void events.push(`${room} forgets: ${reason}`),
        reread: () => void events.push(`${room} reads again`),
        resume: () => void events.push(`${room} goes on`),
      }
      return { member, leave: commit.join(member), request: () => commit.request(member) }
    },
  }
}

export const update = (room: string, byte = 1) => ({ room, update: Uint8Array.of(byte), at: 5 })
