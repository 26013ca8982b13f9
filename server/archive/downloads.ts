import { Transform, type TransformCallback } from 'node:stream'
import type { ArchiveScope } from '@/lib/archive'
import type { Clock } from '@/lib/core/clock'
import { refuse } from '@/lib/core/result'
import type { ArchiveOut } from './archive-out'
import type { Disposer } from '../join/live-session'
import { refused, type ApiResponse } from '../http/api-route'
import type { Timers } from '../sync/timers'

/** Whoever takes nothing for so long is gone, ms. */
const STALLED_MS = 60_000
/** Longest that one is sent, ms: the database keeps all that is written meanwhile beside what is being read. */
const LONGEST_MS = 60 * 60_000

/** Archives on their way out: one at a time, which ends when nobody takes it any more. */
export class Downloads {
  #isSending = false

  constructor(
    readonly parts: {
      archiveOut: ArchiveOut
      clock: Clock
      timers: Pick<Timers, 'after'>
      /** What went wrong while one was under way. */
      warn: (e: unknown) => void
    },
  ) {}

  start(scope: ArchiveScope, name: string): ApiResponse {
    const { archiveOut, clock, timers, warn } = this.parts
    if (this.#isSending)
      return refused(
        409,
        refuse('Archive', '', 'another one is being downloaded', 'Try again when that is done.').error,
      )
    this.#isSending = true
    const stream = new Watched(timers)
    archiveOut(scope, clock.now(), stream)
      .catch((e: unknown) => {
        stream.destroy(e instanceof Error ? e : new Error(String(e)))
        warn(e)
      })
      .finally(() => {
        this.#isSending = false
      })
    const day = new Date(clock.now()).toISOString().slice(0, 10)
    return {
      status: 200,
      body: null,
      stream,
      headers: {
        'Content-Type': 'application/zip',
        'Content-Disposition': `attachment; filename="${name}-${day}.zip"`,
      },
    }
  }
}

/** Lets bytes through as long as somebody takes them. */
class Watched extends Transform {
  #stopStall: Disposer = () => undefined
  readonly #stopLongest: Disposer

  constructor(readonly timers: Pick<Timers, 'after'>) {
    super()
    this.#stopLongest = timers.after(LONGEST_MS, () => this.#giveUp())
    this.#arm()
  }

  override _transform(chunk: Buffer, _encoding: BufferEncoding, done: TransformCallback): void {
    this.#arm()
    done(null, chunk)
  }

  override _destroy(e: Error | null, done: (e?: Error | null) => void): void {
    this.#stopStall()
    this.#stopLongest()
    done(e)
  }

  #arm(): void {
    this.#stopStall()
    this.#stopStall = this.timers.after(STALLED_MS, () => this.#giveUp())
  }
  #giveUp(): void {
    this.destroy(new Error('Nobody takes the archive any more'))
  }
}
