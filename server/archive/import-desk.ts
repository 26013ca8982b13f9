import { randomUUID } from 'node:crypto'
import { existsSync, readdirSync, rmSync, statfsSync } from 'node:fs'
import { open } from 'node:fs/promises'
import { join } from 'node:path'
import type { ArchivePlan, ArchiveTaken, ConflictChoice } from '@/lib/archive'
import { ok, refuse, type Result } from '@/lib/core/result'
import { ARCHIVE_LIMITS } from './archive-limits'
import type { Charged } from '../http/charged'
import type { Disposer } from '../join/live-session'
import type { Timers } from '../sync/timers'
import { checkArchive, type CheckedArchive } from './check-archive'
import { planArchive } from './plan-archive'
import { takeArchive, type TakeParts } from './take-archive'

const DRAFT = 'import-'
const ENDING = '.part'
/** Free space that is left for edits, bytes. */
const KEPT_FREE = 512 * 1024 * 1024
/** Whoever has not sent anything for so long has gone; another may bring one in, ms. */
const GONE_MS = 5 * 60_000
/** An archive of which nothing is heard for so long is left: its file goes, ms. */
const LEFT_MS = 30 * 60_000

interface Draft {
  id: string
  personId: string
  bytes: number
  received: number
  heardAt: number
  /** It is being read or written. */
  busy: boolean
  /** The piece that is being written. */
  writing: Promise<unknown> | null
  /** Looked at whole: it stays open until it is taken or dropped, so that what was looked at is what is taken. */
  checked: CheckedArchive | null
  stopWait: Disposer
}

const gone = (): Result<never> =>
  refuse('Archive', '', 'it is no longer on the server', 'Choose the file again. Nothing was changed.')

/** Archives on their way in: one at a time, in pieces, into a file of its own beside the board, which is gone when it is done or left. */
export class ImportDesk {
  #draft: Draft | null = null

  constructor(
    readonly parts: TakeParts,
    readonly dataFolder: string,
    readonly timers: Pick<Timers, 'steady' | 'after'>,
  ) {
    // Left by a process that was killed.
    if (existsSync(dataFolder))
      for (const name of readdirSync(dataFolder))
        if (name.startsWith(DRAFT) && name.endsWith(ENDING)) rmSync(join(dataFolder, name), { force: true })
  }

  begin(personId: string, bytes: number): Result<{ id: string }> {
    const now = this.timers.steady()
    const other = this.#draft
    if (other && (other.busy || (other.personId !== personId && now - other.heardAt < GONE_MS)))
      return refuse('Archive', '', 'another one is being imported', 'Try again when that is done.')
    this.drop()
    if (bytes > ARCHIVE_LIMITS.fileBytes)
      return refuse(
        'Archive',
        `${Math.round(bytes / 1e6)} MB`,
        'is larger than an archive can be',
        'Choose another file.',
      )
    const { bavail, bsize } = statfsSync(this.dataFolder)
    // Once as the file, once as what it brings.
    if (bavail * bsize < 2 * bytes + KEPT_FREE)
      return refuse(
        'Disk',
        '',
        'the server has no room for it',
        'Make room on the computer that runs the board.',
      )
    const draft: Draft = {
      id: randomUUID(),
      personId,
      bytes,
      received: 0,
      heardAt: now,
      busy: false,
      writing: null,
      checked: null,
      stopWait: () => undefined,
    }
    this.#draft = draft
    this.#heard(draft)
    return ok({ id: draft.id })
  }

  /** Pieces come in order; one that comes twice is written once. */
  async piece(id: string, personId: string, at: number, data: Buffer): Promise<Result<{ received: number }>> {
    if (!Number.isSafeInteger(at) || at < 0) return gone()
    // Sent again while its first sending is still being written: whether that arrived is known afterwards.
    let draft = this.#mine(id, personId)
    while (draft?.writing) {
      await draft.writing
      draft = this.#mine(id, personId)
    }
    if (!draft || draft.busy) return gone()
    if (at < draft.received) return ok({ received: draft.received })
    if (at > draft.received || at + data.length > draft.bytes)
      return refuse('Archive', '', 'a piece of it is missing', 'Choose the file again. Nothing was changed.')
    const written = this.#write(draft, at, data)
    draft.writing = written.catch(() => undefined)
    await written
    return ok({ received: draft.received })
  }

  async #write(draft: Draft, at: number, data: Buffer): Promise<void> {
    draft.busy = true
    try {
      const file = await open(this.#file(draft), at === 0 ? 'w' : 'r+', 0o600)
      try {
        await file.write(data, 0, data.length, at)
      } finally {
        await file.close()
      }
      draft.received += data.length
    } finally {
      draft.busy = false
      draft.writing = null
      this.#heard(draft)
    }
  }

  plan(id: string, personId: string, charged: Charged): Promise<Result<ArchivePlan>> {
    return this.#work(id, personId, async (archive) =>
      ok(await planArchive(archive, { ...this.parts, charged })),
    )
  }

  async take(
    id: string,
    personId: string,
    wish: { conflicts: ConflictChoice; digest: string },
    charged: Charged,
  ): Promise<Result<ArchiveTaken>> {
    const taken = await this.#work(id, personId, (archive) =>
      takeArchive(archive, { ...this.parts, charged }, { ...wish, by: { personId } }),
    )
    if (taken.ok) this.drop(id)
    return taken
  }

  drop(id = this.#draft?.id): void {
    const draft = this.#draft
    if (!draft || draft.id !== id || draft.busy) return
    draft.stopWait()
    draft.checked?.close()
    rmSync(this.#file(draft), { force: true })
    this.#draft = null
  }

  /** An archive that can't be read goes at once: it never will be. */
  async #work<T>(
    id: string,
    personId: string,
    work: (archive: CheckedArchive) => Promise<Result<T>>,
  ): Promise<Result<T>> {
    const draft = this.#mine(id, personId)
    if (!draft || draft.busy || draft.received !== draft.bytes) return gone()
    draft.busy = true
    let isReadable = true
    try {
      if (!draft.checked) {
        const checked = await checkArchive(this.#file(draft))
        isReadable = checked.ok
        if (!checked.ok) return checked
        draft.checked = checked.value
      }
      return await work(draft.checked)
    } finally {
      draft.busy = false
      this.#heard(draft)
      if (!isReadable) this.drop(id)
    }
  }

  #heard(draft: Draft): void {
    draft.heardAt = this.timers.steady()
    draft.stopWait()
    draft.stopWait = this.timers.after(LEFT_MS, () => {
      if (draft.busy) this.#heard(draft)
      else this.drop(draft.id)
    })
  }

  #mine(id: string, personId: string): Draft | null {
    return this.#draft?.id === id && this.#draft.personId === personId ? this.#draft : null
  }
  #file(draft: Draft): string {
    return join(this.dataFolder, `${DRAFT}${draft.id}${ENDING}`)
  }
}
