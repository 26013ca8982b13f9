import { existsSync, renameSync, rmSync, truncateSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import { realFiles, type Files } from '@/server/storage/files'

/** The process was killed, or the power went. */
export class Killed extends Error {}

interface Unsynced {
  /** The folder whose sync makes it last, or the file whose content it is. */
  waitsFor: string
  undo: () => void
}

/**
 * Real files whose process ends before its nth call. What was not synced by then can be lost as by a power cut: file systems write down
 * changes of names in their order, so that a beginning of them stays.
 */
export class MortalFiles {
  calls = 0
  #unsynced: Unsynced[] = []
  constructor(readonly killAt = Infinity) {}

  /** How many changes a power cut might still take back. */
  get unsynced(): number {
    return this.#unsynced.length
  }

  /** Of what was not synced, only the first `kept` changes reach the disk. */
  cutPower(kept: number): void {
    for (const { undo } of this.#unsynced.splice(kept).reverse()) undo()
  }

  readonly files: Files = {
    exists: realFiles.exists,
    list: realFiles.list,
    read: realFiles.read,
    write: (file, content) => this.#fill(file, () => realFiles.write(file, content)),
    copy: (from, to) => this.#fill(to, () => realFiles.copy(from, to)),
    rename: (from, to) => {
      this.#live()
      if (existsSync(to)) throw new Error(`${to} would be lost`)
      realFiles.rename(from, to)
      // Content that waits for its sync goes by its new name.
      for (const u of this.#unsynced) if (u.waitsFor === from) u.waitsFor = to
      this.#unsynced.push({ waitsFor: dirname(to), undo: () => renameSync(to, from) })
    },
    remove: (file) => {
      this.#live()
      if (!existsSync(file)) return
      const trash = `${file}.trash${this.calls}`
      renameSync(file, trash)
      this.#unsynced.push({ waitsFor: dirname(file), undo: () => renameSync(trash, file) })
    },
    sync: (file) => {
      this.#live()
      realFiles.sync(file)
      this.#unsynced = this.#unsynced.filter((u) => u.waitsFor !== file)
    },
    syncFolder: (folder) => {
      this.#live()
      realFiles.syncFolder(folder)
      this.#unsynced = this.#unsynced.filter((u) => u.waitsFor !== folder)
    },
  }

  #live(): void {
    if (this.calls++ === this.killAt) throw new Killed()
  }

  #fill(file: string, fill: () => void): void {
    this.#live()
    const isNew = !existsSync(file)
    fill()
    if (isNew) this.#unsynced.push({ waitsFor: dirname(file), undo: () => rmSync(file, { force: true }) })
    // Half of what was written came that far.
    const half = () => existsSync(file) && truncateSync(file, Math.floor(statSync(file).size / 2))
    this.#unsynced.push({ waitsFor: file, undo: half })
  }
}
